package workspace

import (
	"bytes"
	"strings"

	"go.yaml.in/yaml/v3"
)

// The slash command, as people type it.
const slashCommand = "/presshand"

// A scope and what the bot needs it for.
type scope struct{ name, use string }

// scopes are the least the bot needs; each names its use.
func scopes() []scope {
	return []scope{
		{"app_mentions:read", "hear mentions"},
		{"channels:history", "hear follow-ups in threads, look up its own answers"},
		{"chat:write", "answer"},
		{"commands", "slash command and shortcuts"},
		{"files:read", "read artwork people drop"},
		{"files:write", "show sheets and timelines as pictures"},
		{"groups:history", "the same as channels:history in private channels"},
		{"im:history", "hear direct messages, look up its own answers"},
		{"im:write", "answer in the direct channel what was asked in the form or the home tab"},
	}
}

// missingScopes lists the needed scopes that a comma-separated list lacks. An
// empty list says nothing.
func missingScopes(granted string) []string {
	if granted == "" {
		return nil
	}
	has := map[string]bool{}
	for _, name := range strings.Split(granted, ",") {
		has[strings.TrimSpace(name)] = true
	}
	var missing []string
	for _, s := range scopes() {
		if !has[s.name] {
			missing = append(missing, s.name)
		}
	}
	return missing
}

// An app manifest, as far as the bot uses it.
type manifest struct {
	Display  manifestDisplay  `yaml:"display_information"`
	Features manifestFeatures `yaml:"features"`
	OAuth    manifestOAuth    `yaml:"oauth_config"`
	Settings manifestSettings `yaml:"settings"`
}

type manifestDisplay struct {
	Name        string `yaml:"name"`
	Description string `yaml:"description"`
}

type manifestFeatures struct {
	Home      manifestHome       `yaml:"app_home"`
	Bot       manifestBot        `yaml:"bot_user"`
	Shortcuts []manifestShortcut `yaml:"shortcuts"`
	Commands  []manifestCommand  `yaml:"slash_commands"`
}

type manifestHome struct {
	Home     bool `yaml:"home_tab_enabled"`
	Messages bool `yaml:"messages_tab_enabled"`
	ReadOnly bool `yaml:"messages_tab_read_only_enabled"`
}

type manifestBot struct {
	Name   string `yaml:"display_name"`
	Always bool   `yaml:"always_online"`
}

type manifestShortcut struct {
	Name        string `yaml:"name"`
	Type        string `yaml:"type"`
	Callback    string `yaml:"callback_id"`
	Description string `yaml:"description"`
}

type manifestCommand struct {
	Command     string `yaml:"command"`
	Description string `yaml:"description"`
	Hint        string `yaml:"usage_hint"`
	Escape      bool   `yaml:"should_escape"`
	URL         string `yaml:"url,omitempty"`
}

type manifestOAuth struct {
	Scopes struct {
		Bot []string `yaml:"bot"`
	} `yaml:"scopes"`
}

type manifestSettings struct {
	Events struct {
		URL  string   `yaml:"request_url,omitempty"`
		Bots []string `yaml:"bot_events"`
	} `yaml:"event_subscriptions"`
	Interactivity struct {
		Enabled bool   `yaml:"is_enabled"`
		URL     string `yaml:"request_url,omitempty"`
	} `yaml:"interactivity"`
	Socket bool `yaml:"socket_mode_enabled"`
	Deploy bool `yaml:"org_deploy_enabled"`
	Rotate bool `yaml:"token_rotation_enabled"`
}

// Manifest is the app manifest as YAML, with the least scopes the bot needs.
// With a door's address the app talks HTTP; without one, Socket Mode.
func Manifest(door string) ([]byte, error) {
	m := manifest{
		Display: manifestDisplay{
			Name:        "presshand",
			Description: "Answers questions and orders about transfers and sublimation: method, press settings, sheets, price, time.",
		},
		Features: manifestFeatures{
			Home: manifestHome{Home: true, Messages: true},
			Bot:  manifestBot{Name: "presshand", Always: true},
			Shortcuts: []manifestShortcut{
				{"Ask about this", "message", askShortcut, "Sends this message to presshand; the answer comes in its thread."},
				{"New order", "global", orderShortcut, "Opens the form for a new order."},
			},
			Commands: []manifestCommand{{
				Command: slashCommand, Description: "Ask presshand; only you see the answer.",
				Hint: "a question or an order, or help", Escape: true, URL: door,
			}},
		},
	}
	for _, s := range scopes() {
		m.OAuth.Scopes.Bot = append(m.OAuth.Scopes.Bot, s.name)
	}
	m.Settings.Events.Bots = []string{"app_home_opened", "app_mention", "message.channels", "message.groups", "message.im"}
	m.Settings.Events.URL = door
	m.Settings.Interactivity.Enabled = true
	m.Settings.Interactivity.URL = door
	m.Settings.Socket = door == ""
	var out bytes.Buffer
	enc := yaml.NewEncoder(&out)
	enc.SetIndent(2)
	if err := enc.Encode(m); err != nil {
		return nil, err
	}
	return out.Bytes(), enc.Close()
}
