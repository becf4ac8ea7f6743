package workspace

// Whitebox: verify needs a clock in the year of the published example.

import (
	"net/http"
	"strconv"
	"testing"
	"time"
)

func TestSignatureOfThePublishedExample(t *testing.T) {
	h := http.Header{}
	h.Set("X-Slack-Signature", exampleSignature)
	h.Set("X-Slack-Request-Timestamp", strconv.Itoa(exampleTime))
	if err := verify(h, []byte(exampleBody), exampleSecret, time.Unix(exampleTime+60, 0)); err != nil {
		t.Error(err)
	}
	if err := verify(h, []byte(exampleBody+" "), exampleSecret, time.Unix(exampleTime+60, 0)); err != errForged {
		t.Errorf("changed body: %v", err)
	}
}

// The worked example of the platform's documentation on verifying requests:
// this secret, time stamp and body give this signature. Typed from memory.
const (
	exampleSecret    = "8f742231b10e8888abcd99yyyzzz85a5"
	exampleTime      = 1531420618
	exampleSignature = "v0=a2114d57b48eac39b9ad189dd8316235a7b4a8d21a10bd27519666489c69b503"
	exampleBody      = "token=xyzz0WbapA4vBCDEFasx0q6G&team_id=T1DC2JH3J&team_domain=testteamnow&channel_id=G8PSS9T3V&channel_name=foobar&user_id=U2CERLKJA&user_name=roadrunner&command=%2Fwebhook-collect&text=&response_url=https%3A%2F%2Fhooks.slack.com%2Fcommands%2FT1DC2JH3J%2F397700885554%2F96rGlfmibIGlgcZRskXaIFfN&trigger_id=398738663015.47445629121.803a0bc887a14d10d2c447fce8b6703c"
)
