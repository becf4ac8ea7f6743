package workspace_test

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/workspace"
)

const secret = "shhh"

func sign(secret string, at int64, body string) string {
	mac := hmac.New(sha256.New, []byte(secret))
	mac.Write([]byte("v0:" + strconv.FormatInt(at, 10) + ":" + body))
	return "v0=" + hex.EncodeToString(mac.Sum(nil))
}

// request makes a signed request; spoil may break it.
func request(kind, body string, spoil func(*http.Request)) *http.Request {
	req := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(body))
	at := time.Now().Unix()
	req.Header.Set("Content-Type", kind)
	req.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(at, 10))
	req.Header.Set("X-Slack-Signature", sign(secret, at, body))
	if spoil != nil {
		spoil(req)
	}
	return req
}

const (
	asJSON = "application/json"
	asForm = "application/x-www-form-urlencoded"
)

func event(id, text string) string {
	return `{"type":"event_callback","team_id":"T0ALDER","event_id":"` + id + `","event":{"type":"message","channel":"D1","channel_type":"im","user":"U1","text":"` + text + `","ts":"1764081294.` + id + `"}}`
}

// doorOnly is a bot without a socket.
func doorOnly(c *workspace.Config) { c.AppToken = "" }

func knock(b *bench, req *http.Request) *httptest.ResponseRecorder {
	rec := httptest.NewRecorder()
	b.bot.Door(secret).ServeHTTP(rec, req)
	return rec
}

func TestDoorLeadsToTheSameHandler(t *testing.T) {
	onBench(t, doorOnly, func(b *bench) {
		command := url.Values{"command": {"/presshand"}, "text": {"a command"}, "team_id": {"T0ALDER"}, "channel_id": {"D1"}, "channel_name": {"directmessage"}, "user_id": {"U1"}, "trigger_id": {"t1"}, "response_url": {""}}
		click := url.Values{"payload": {`{"type":"block_actions","team":{"id":"T0ALDER"},"user":{"id":"U1"},"channel":{"id":"D1"},"container":{"type":"message","channel_id":"D1","message_ts":"1.1"},"actions":[{"action_id":"say.0","value":"a click","action_ts":"1764081299.1"}]}`}}
		for _, req := range []*http.Request{
			request(asJSON, event("000001", "an event"), nil),
			request(asJSON, event("000001", "an event")+" ", nil), // repeated
			request(asForm, command.Encode(), nil),
			request(asForm, click.Encode(), nil),
		} {
			if rec := knock(b, req); rec.Code != http.StatusOK || rec.Body.Len() != 0 {
				t.Errorf("status %d, %q", rec.Code, rec.Body)
			}
			b.pass(time.Second)
		}
		if diff := cmp.Diff([]string{"an event", "a command", "a click"}, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestDoorRefuses(t *testing.T) {
	header := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set(name, value) }
	}
	at := func(off time.Duration) func(*http.Request) {
		return func(r *http.Request) {
			then := time.Now().Add(off).Unix()
			r.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(then, 10))
			r.Header.Set("X-Slack-Signature", sign(secret, then, event("000002", "hello")))
		}
	}
	rows := []struct {
		name  string
		spoil func(*http.Request)
		code  int
	}{
		{"no signature", func(r *http.Request) { r.Header.Del("X-Slack-Signature") }, 401},
		{"no time", func(r *http.Request) { r.Header.Del("X-Slack-Request-Timestamp") }, 401},
		{"a wrong signature", header("X-Slack-Signature", "v0="+strings.Repeat("ab", 32)), 401},
		{"a cut signature", header("X-Slack-Signature", "v0=abcd"), 401},
		{"no hex", header("X-Slack-Signature", "v0=zz"), 401},
		{"another scheme", header("X-Slack-Signature", "v1=abcd"), 401},
		{"another secret", func(r *http.Request) {
			r.Header.Set("X-Slack-Signature", sign("other", time.Now().Unix(), event("000002", "hello")))
		}, 401},
		{"another time than signed", func(r *http.Request) {
			r.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(time.Now().Unix()-1, 10))
		}, 401},
		{"six minutes old", at(-6 * time.Minute), 401},
		{"six minutes ahead", at(6 * time.Minute), 401},
		{"four minutes old", at(-4 * time.Minute), 200},
		{"another method", func(r *http.Request) { r.Method = http.MethodGet }, 405},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			onBench(t, doorOnly, func(b *bench) {
				rec := knock(b, request(asJSON, event("000002", "hello"), row.spoil))
				if rec.Code != row.code {
					t.Errorf("status %d, want %d", rec.Code, row.code)
				}
				b.pass(time.Second)
				want := 0
				if row.code == 200 {
					want = 1
				}
				if n := len(b.asked()); n != want {
					t.Errorf("asked %d times, want %d", n, want)
				}
			})
		})
	}
	t.Run("replayed", func(t *testing.T) {
		onBench(t, doorOnly, func(b *bench) {
			var codes []int
			for range 3 {
				codes = append(codes, knock(b, request(asJSON, event("000002", "hello"), at(-time.Minute))).Code)
			}
			if diff := cmp.Diff([]int{200, 409, 409}, codes); diff != "" {
				t.Error(diff)
			}
			b.pass(time.Second)
			if n := len(b.asked()); n != 1 {
				t.Errorf("asked %d times", n)
			}
		})
	})
	t.Run("no secret set", func(t *testing.T) {
		onBench(t, doorOnly, func(b *bench) {
			req := request(asJSON, event("000002", "hello"), func(r *http.Request) {
				r.Header.Set("X-Slack-Signature", sign("", time.Now().Unix(), event("000002", "hello")))
			})
			rec := httptest.NewRecorder()
			b.bot.Door("").ServeHTTP(rec, req)
			if rec.Code != 401 {
				t.Errorf("status %d, want 401", rec.Code)
			}
		})
	})
	t.Run("too large", func(t *testing.T) {
		onBench(t, doorOnly, func(b *bench) {
			if rec := knock(b, request(asJSON, strings.Repeat("x", 2<<20), nil)); rec.Code != http.StatusRequestEntityTooLarge {
				t.Errorf("status %d", rec.Code)
			}
		})
	})
	t.Run("no sense", func(t *testing.T) {
		onBench(t, doorOnly, func(b *bench) {
			for _, req := range []*http.Request{request(asJSON, "{", nil), request(asForm, "a=b", nil), request(asForm, "%zz", nil)} {
				if rec := knock(b, req); rec.Code != http.StatusBadRequest {
					t.Errorf("status %d", rec.Code)
				}
			}
		})
	})
}

func TestDoorProvesItself(t *testing.T) {
	onBench(t, doorOnly, func(b *bench) {
		rec := knock(b, request(asJSON, `{"type":"url_verification","challenge":"abc"}`, nil))
		if rec.Code != 200 || rec.Body.String() != "abc" {
			t.Errorf("status %d, %q", rec.Code, rec.Body)
		}
	})
}

func TestDoorShowsFormErrors(t *testing.T) {
	onBench(t, doorOnly, func(b *bench) {
		form := func(sizes, hash string) *http.Request {
			payload := `{"type":"view_submission","team":{"id":"T0ALDER"},"user":{"id":"U1"},"view":{"id":"V1","hash":"` + hash + `","callback_id":"order_form","state":{"values":{"what":{"field.what":{"value":"tees"}},"sizes":{"field.sizes":{"value":"` + sizes + `"}}}}}}`
			return request(asForm, url.Values{"payload": {payload}}.Encode(), nil)
		}
		if rec := knock(b, form("none", "h1")); !strings.Contains(rec.Body.String(), `"response_action":"errors"`) || !strings.Contains(rec.Body.String(), `"sizes"`) {
			t.Errorf("status %d, %q", rec.Code, rec.Body)
		}
		if rec := knock(b, form("3", "h2")); rec.Code != 200 || rec.Body.Len() != 0 {
			t.Errorf("status %d, %q", rec.Code, rec.Body)
		}
		b.pass(time.Second)
		if diff := cmp.Diff([]string{"3 tees"}, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}
