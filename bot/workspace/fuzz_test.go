package workspace

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzDecode reads deliveries as anybody may send them: no panic, and what is
// to be answered has a place, a key and clean text.
func FuzzDecode(f *testing.F) {
	for _, seed := range []struct{ kind, payload string }{
		{kindEvent, `{"team_id":"T1","event_id":"E1","event":{"type":"message","channel":"D1","channel_type":"im","user":"U1","text":"a &lt; b","ts":"1.000001","files":[{"name":"a.png","size":3}]}}`},
		{kindEvent, `{"team_id":"T1","event":{"type":"app_mention","channel":"C1","user":"U1","text":"<@U0BOT> hi","ts":"1.000001","thread_ts":"1.0"}}`},
		{kindEvent, `{"event":{"type":"app_home_opened","user":"U1","tab":"home"}}`},
		{kindCommand, `{"command":"/x","text":"hi","user_id":"U1","trigger_id":"t","channel_name":"directmessage"}`},
		{kindInteractive, `{"type":"block_actions","user":{"id":"U1"},"actions":[{"action_id":"say.0","value":"hi","action_ts":"1.1"}]}`},
		{kindInteractive, `{"type":"view_submission","user":{"id":"U1"},"view":{"id":"V1","callback_id":"order_form","state":{"values":{"what":{"field.what":{"value":"tees"}}}}}}`},
		{kindInteractive, `{"type":"message_action","callback_id":"ask_about_this","user":{"id":"U1"},"message":{"ts":"1.1","text":"hi"}}`},
		{"other", `[]`},
	} {
		f.Add(seed.kind, []byte(seed.payload))
	}
	self := identity{user: "U0BOT", team: "T1"}
	f.Fuzz(func(t *testing.T, kind string, payload []byte) {
		c, err := decode(kind, payload, self)
		if err != nil || c.job == jobNothing {
			return
		}
		if len(c.keys) == 0 || c.keys[0] == "" {
			t.Error("no key")
		}
		if !utf8.ValidString(c.msg.Text) || strings.ContainsAny(c.msg.Text, "\x00\x07\u202E\u200B") {
			t.Errorf("text %q", c.msg.Text)
		}
		if c.msg.User == self.user {
			t.Error("answers itself")
		}
		if c.job == jobSubmit {
			_ = checkOrder(c.view)
			_ = orderText(c.view)
		}
	})
}

// FuzzText: what is shown stays within its limit, valid, and free of what the
// platform would read as a mention.
func FuzzText(f *testing.F) {
	for _, seed := range []string{"", "a & b", "<!channel>", "<@U1|ann>", strings.Repeat("𝔘", 50), "\xff", "a\n\nb"} {
		f.Add(seed, 20)
	}
	f.Fuzz(func(t *testing.T, s string, limit int) {
		limit = 2 + abs(limit)%200
		for name, got := range map[string]string{"cut": cut(shown(s), limit), "fallback": escapeWithin(clean(s), limit)} {
			if size(got) > limit || !utf8.ValidString(got) {
				t.Errorf("%s of %q to %d: %q", name, s, limit, got)
			}
			if strings.Contains(got, "<!") || strings.Contains(got, "<@") {
				t.Errorf("%s of %q mentions: %q", name, s, got)
			}
		}
		if got := escapeWithin(clean(s), limit); strings.ContainsAny(got, "<>") {
			t.Errorf("unescaped %q", got)
		}
		for _, piece := range chunks(shown(s), limit) {
			if size(piece) > limit || strings.TrimSpace(piece) == "" {
				t.Errorf("chunk %q of %q", piece, s)
			}
		}
		_ = incoming(s, "U0BOT")
	})
}

func abs(n int) int {
	if n < 0 {
		return -(n + 1)
	}
	return n
}
