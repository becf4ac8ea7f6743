package workspace

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// What can be wrong with a file that came with a message.
var (
	ErrTooLarge = errors.New("file too large")
	ErrForeign  = errors.New("file kept on a foreign host")
	ErrGone     = errors.New("file not readable")
	ErrSlow     = errors.New("file came too slowly")
)

// files reads the wire's files. They carry no Open yet, so that decoding stays
// free of the network.
func files(all []wireFile) []File {
	var out []File
	for _, f := range all {
		if f.Name == "" {
			f.Name = f.Title
		}
		f.Name = clean(f.Name)
		out = append(out, File{Name: f.Name, Type: f.Mimetype, Size: f.Size, source: f})
	}
	return out
}

// A fetcher downloads files: bounded in bytes and time, and with the token only
// for the platform's own hosts.
type fetcher struct {
	api  *slack.Client
	most int64
	wait time.Duration
}

// attach gives files their Open.
func (f *fetcher) attach(files []File) []File {
	out := make([]File, len(files))
	for i, file := range files {
		out[i] = file
		out[i].Open = func(ctx context.Context) (io.ReadCloser, error) { return f.fetch(ctx, file.source) }
	}
	return out
}

func (f *fetcher) fetch(ctx context.Context, file wireFile) (io.ReadCloser, error) {
	address := file.Download
	if address == "" {
		address = file.Private
	}
	switch {
	case file.External || file.Mode == "external":
		return nil, fmt.Errorf("%q is only a link to another site; please upload the file itself: %w", file.Name, ErrForeign)
	case file.Mode == "tombstone" || file.Mode == "hidden_by_limit" || address == "":
		return nil, fmt.Errorf("%q is no longer there; please upload it again: %w", file.Name, ErrGone)
	case file.Size > f.most:
		return nil, f.tooLarge(file.Name, file.Size)
	}
	ctx, cancel := context.WithTimeout(ctx, f.wait)
	defer cancel()
	body := &bounded{most: f.most}
	err := f.api.GetFileContext(ctx, address, body)
	var status slack.StatusCodeError
	switch {
	case err == nil:
		return io.NopCloser(bytes.NewReader(body.data.Bytes())), nil
	case errors.Is(err, ErrTooLarge):
		return nil, f.tooLarge(file.Name, 0)
	case errors.Is(err, ErrForeign), strings.Contains(err.Error(), "refusing to send the token"):
		return nil, fmt.Errorf("%q is kept on a host that is not the workspace's; please upload the file itself: %w", file.Name, ErrForeign)
	case errors.Is(err, context.DeadlineExceeded), isTimeout(err):
		return nil, fmt.Errorf("%q did not arrive within %v; please send it again: %w", file.Name, f.wait, ErrSlow)
	case errors.As(err, &status), strings.Contains(err.Error(), "sign-in page"):
		return nil, fmt.Errorf("the workspace does not let me read %q; please upload it again: %w", file.Name, ErrGone)
	}
	return nil, fmt.Errorf("%q did not arrive: %w", file.Name, err)
}

func (f *fetcher) tooLarge(name string, size int64) error {
	if size > 0 {
		return fmt.Errorf("%q has %d MB, and I take files up to %d MB: %w", name, size>>20, f.most>>20, ErrTooLarge)
	}
	return fmt.Errorf("%q is larger than the %d MB I take: %w", name, f.most>>20, ErrTooLarge)
}

// bounded takes bytes up to a limit and then fails, which ends the download.
// The buffer isn't embedded: its ReadFrom would go around the limit.
type bounded struct {
	data bytes.Buffer
	most int64
}

func (b *bounded) Write(p []byte) (int, error) {
	if int64(b.data.Len()+len(p)) > b.most {
		return 0, ErrTooLarge
	}
	return b.data.Write(p)
}

func isTimeout(err error) bool {
	var timed interface{ Timeout() bool }
	return errors.As(err, &timed) && timed.Timeout()
}

// sameHouse makes a redirect policy: a download may move only between the
// platform's own hosts, and not without end.
func sameHouse(apiURL string) func(*http.Request, []*http.Request) error {
	api, _ := url.Parse(apiURL)
	return func(req *http.Request, via []*http.Request) error {
		if len(via) > 5 {
			return fmt.Errorf("more than five redirects: %w", ErrGone)
		}
		if api != nil && req.URL.Scheme == api.Scheme && strings.EqualFold(req.URL.Host, api.Host) {
			return nil
		}
		host := strings.ToLower(req.URL.Hostname())
		for _, own := range []string{"slack.com", "slack-gov.com"} {
			if req.URL.Scheme == "https" && (host == own || strings.HasSuffix(host, "."+own)) {
				return nil
			}
		}
		return fmt.Errorf("redirect to %s: %w", req.URL.Host, ErrForeign)
	}
}
