package workspace

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
)

// noEcho is an HTTP transport that drops the message which the platform sends
// back with its answer to a post. Nobody reads it, decoding it takes longer than
// making the post, and a block in it that the library does not know would make a
// post look as if it had failed.
type noEcho struct{ next http.RoundTripper }

func (n noEcho) RoundTrip(req *http.Request) (*http.Response, error) {
	resp, err := n.next.RoundTrip(req)
	echoes := strings.HasSuffix(req.URL.Path, "/chat.postMessage") || strings.HasSuffix(req.URL.Path, "/chat.update")
	if err != nil || !echoes || resp.StatusCode != http.StatusOK {
		return resp, err
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, err
	}
	text = withoutEcho(text)
	resp.Body, resp.ContentLength = io.NopCloser(bytes.NewReader(text)), int64(len(text))
	return resp, nil
}

// withoutEcho drops the message from an answer; what is no object stays as it
// is.
func withoutEcho(text []byte) []byte {
	var fields map[string]json.RawMessage
	if json.Unmarshal(text, &fields) != nil {
		return text
	}
	delete(fields, "message")
	brief, err := json.Marshal(fields)
	if err != nil {
		return text
	}
	return brief
}
