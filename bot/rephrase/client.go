package rephrase

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"

	openai "github.com/sashabaranov/go-openai"
)

// mostBody bounds a server's answer, in bytes: the longest procedure is below
// 4 kB, the rest is JSON and head room.
const mostBody = 64 << 10

// A Client asks a server with the OpenAI chat interface.
type Client struct {
	api  *openai.Client
	name string
}

// NewClient returns a client of the server at address ("http://host/v1") and
// its model. key may be empty.
func NewClient(address, model, key string) (*Client, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, errors.New("the model's address is no web address: set PRESSHAND_MODEL_URL to one such as http://127.0.0.1:8080/v1")
	}
	if model == "" {
		return nil, errors.New("no model is named: set PRESSHAND_MODEL to the name its server knows")
	}
	config := openai.DefaultConfig(key)
	config.BaseURL = address
	config.HTTPClient = &http.Client{
		Transport: bounded{http.DefaultTransport},
		// What is sent is meant for this one address.
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	return &Client{api: openai.NewClientWithConfig(config), name: model}, nil
}

// bounded fails the reading of a body beyond mostBody.
type bounded struct{ next http.RoundTripper }

// RoundTrip implements http.RoundTripper.
func (b bounded) RoundTrip(q *http.Request) (*http.Response, error) {
	a, err := b.next.RoundTrip(q)
	if err == nil {
		a.Body = &boundedBody{ReadCloser: a.Body, left: mostBody}
	}
	return a, err
}

type boundedBody struct {
	io.ReadCloser
	left int
}

var errBody = fmt.Errorf("the model's answer is longer than %d bytes", mostBody)

// Read implements io.Reader.
func (b *boundedBody) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, errBody
	}
	n, err := b.ReadCloser.Read(p[:min(len(p), b.left)])
	b.left -= n
	return n, err
}

// Reword implements Model. Its errors hold no part of the server's answer.
func (c *Client) Reword(ctx context.Context, q Request) (string, error) {
	a, err := c.api.CreateChatCompletion(ctx, openai.ChatCompletionRequest{
		Model: c.name,
		Messages: []openai.ChatCompletionMessage{
			{Role: openai.ChatMessageRoleSystem, Content: q.System},
			{Role: openai.ChatMessageRoleUser, Content: q.Text},
		},
		Temperature: math.SmallestNonzeroFloat32, // zero would be left out
	})
	if err != nil {
		return "", quiet(err)
	}
	if len(a.Choices) == 0 {
		return "", errors.New("the model gave no choice")
	}
	choice := a.Choices[0]
	if choice.FinishReason != openai.FinishReasonStop && choice.FinishReason != "" {
		return "", errors.New("the model did not come to an end")
	}
	return choice.Message.Content, nil
}

// quiet keeps of an error what an operator needs; a server's own text could
// hold anything. A RequestError is told apart first: it also passes for an
// empty APIError.
func quiet(err error) error {
	var request *openai.RequestError
	var api *openai.APIError
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return context.DeadlineExceeded
	case errors.Is(err, context.Canceled):
		return context.Canceled
	case errors.Is(err, errBody):
		return errBody
	case errors.As(err, &request):
		return fmt.Errorf("the model's server answered with status %d", request.HTTPStatusCode)
	case errors.As(err, &api):
		return fmt.Errorf("the model's server answered with status %d", api.HTTPStatusCode)
	}
	return errors.New("the model's server was not reached, or its answer was unreadable")
}
