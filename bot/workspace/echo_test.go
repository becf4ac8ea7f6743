package workspace

import "testing"

func TestWithoutEcho(t *testing.T) {
	rows := []struct{ name, text, want string }{
		{"a post", `{"ok":true,"channel":"C1","ts":"1.5","message":{"blocks":[{"type":"of tomorrow"}]}}`, `{"channel":"C1","ok":true,"ts":"1.5"}`},
		{"a refusal", `{"ok":false,"error":"ratelimited"}`, `{"error":"ratelimited","ok":false}`},
		{"no object", `<html>busy</html>`, `<html>busy</html>`},
		{"cut off", `{"ok":true,"mess`, `{"ok":true,"mess`},
		{"nothing", ``, ``},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			if got := string(withoutEcho([]byte(r.text))); got != r.want {
				t.Errorf("%s", got)
			}
		})
	}
}
