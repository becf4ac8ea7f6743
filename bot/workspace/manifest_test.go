package workspace_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v3"

	"presshand/bot/workspace"
)

// What the platform's manifest reference allows: the keys of each object, and
// the longest value of some. Source: the app manifest reference and the
// platform's own JSON schema of it (slackapi/manifest-schema, MIT), as collected
// with the project's notes on the platform.
func manifestKeys() map[string][]string {
	return map[string][]string{
		"":                             {"_metadata", "display_information", "features", "oauth_config", "settings"},
		"display_information":          {"name", "description", "long_description", "background_color"},
		"features":                     {"app_home", "bot_user", "shortcuts", "slash_commands", "assistant_view", "agent_view", "unfurl_domains"},
		"features.app_home":            {"home_tab_enabled", "messages_tab_enabled", "messages_tab_read_only_enabled"},
		"features.bot_user":            {"display_name", "always_online"},
		"features.shortcuts":           {"name", "type", "callback_id", "description"},
		"features.slash_commands":      {"command", "description", "usage_hint", "should_escape", "url"},
		"oauth_config":                 {"scopes", "redirect_urls"},
		"oauth_config.scopes":          {"bot", "user", "bot_optional"},
		"settings":                     {"event_subscriptions", "interactivity", "socket_mode_enabled", "org_deploy_enabled", "token_rotation_enabled", "allowed_ip_address_ranges"},
		"settings.event_subscriptions": {"bot_events", "user_events", "request_url"},
		"settings.interactivity":       {"is_enabled", "request_url", "message_menu_options_url"},
	}
}

func manifestLimits() map[string]int {
	return map[string]int{
		"display_information.name": 35, "display_information.description": 140, "features.bot_user.display_name": 80,
		"features.shortcuts.name": 24, "features.shortcuts.callback_id": 255, "features.shortcuts.description": 150,
		"features.slash_commands.command": 32, "features.slash_commands.description": 2000, "features.slash_commands.usage_hint": 1000,
	}
}

func manifestOf(t *testing.T, door string) map[string]any {
	t.Helper()
	data, err := workspace.Manifest(door)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := yaml.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

func TestManifestKeepsTheSchema(t *testing.T) {
	keys, limits := manifestKeys(), manifestLimits()
	seen := map[string]bool{}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		seen[path] = true
		switch v := v.(type) {
		case map[string]any:
			for key, inner := range v {
				if !slices.Contains(keys[path], key) {
					t.Errorf("%s: key %q is not in the schema", path, key)
				}
				walk(strings.TrimPrefix(path+"."+key, "."), inner)
			}
		case []any:
			for _, inner := range v {
				walk(path, inner)
			}
		case string:
			if most := limits[path]; v == "" || most > 0 && length(v) > most {
				t.Errorf("%s: %q has %d characters, at most %d", path, v, length(v), most)
			}
		}
	}
	for _, door := range []string{"", "https://presshand.example/door"} {
		walk("", manifestOf(t, door))
	}
	for path := range limits {
		if !seen[path] {
			t.Errorf("%s is missing", path)
		}
	}
}

func at(t *testing.T, m map[string]any, path string) any {
	t.Helper()
	var v any = m
	for _, key := range strings.Split(path, ".") {
		inner, ok := v.(map[string]any)
		if !ok {
			t.Fatalf("%s: nothing at %s", path, key)
		}
		v = inner[key]
	}
	return v
}

func TestManifestAsksForTheLeast(t *testing.T) {
	m := manifestOf(t, "")
	// Each event needs its scope and each scope its use: the platform's event
	// and method references.
	wantEvents := []any{"app_home_opened", "app_mention", "message.channels", "message.groups", "message.im"}
	wantScopes := []any{
		"app_mentions:read",              // app_mention
		"channels:history", "chat:write", // message.channels; chat.*, conversations.replies
		"commands",                  // slash command, shortcuts
		"files:read", "files:write", // downloads; uploads
		"groups:history", "im:history", // message.groups; message.im, conversations.history
		"im:write", // conversations.open
	}
	for path, want := range map[string]any{
		"settings.event_subscriptions.bot_events":          wantEvents,
		"oauth_config.scopes.bot":                          wantScopes,
		"settings.socket_mode_enabled":                     true,
		"settings.interactivity.is_enabled":                true,
		"settings.token_rotation_enabled":                  false,
		"features.app_home.home_tab_enabled":               true,
		"features.app_home.messages_tab_enabled":           true,
		"features.app_home.messages_tab_read_only_enabled": false, // else nobody can write to the bot
	} {
		if diff := cmp.Diff(want, at(t, m, path)); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
	}
	text, _ := workspace.Manifest("")
	for _, never := range []string{"chat:write.public", "chat:write.customize", "users:read", "admin"} {
		if strings.Contains(string(text), never) {
			t.Errorf("asks for %s", never)
		}
	}
}

func TestManifestOfAHostedBot(t *testing.T) {
	const door = "https://presshand.example/door"
	m := manifestOf(t, door)
	if at(t, m, "settings.socket_mode_enabled") != false {
		t.Error("socket mode with a door: nothing would come over HTTP")
	}
	for _, path := range []string{"settings.event_subscriptions.request_url", "settings.interactivity.request_url"} {
		if got := at(t, m, path); got != door {
			t.Errorf("%s is %v", path, got)
		}
	}
}
