package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"

	"presshand/bot"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// slackCommand joins the workspace or prints the app's manifest.
type slackCommand struct {
	Join     slackJoin     `cmd:"" default:"withargs" help:"Join the workspace and answer until stopped."`
	Manifest slackManifest `cmd:"" help:"Print the app manifest, with the least scopes."`
}

type slackJoin struct {
	APIURL string `name:"api-url" placeholder:"URL" help:"Another API address; it ends in a slash."`
}

// Run implements the command.
func (c *slackJoin) Run(s *session) error {
	botToken, appToken := s.getenv("SLACK_BOT_TOKEN"), s.getenv("SLACK_APP_TOKEN")
	for _, t := range []struct{ name, value, prefix string }{{"SLACK_BOT_TOKEN", botToken, "xoxb-"}, {"SLACK_APP_TOKEN", appToken, "xapp-"}} {
		if t.value == "" {
			return fmt.Errorf("%s is not set: create the app with presshand slack manifest, install it, and put its token into the environment", t.name)
		}
		if !strings.HasPrefix(t.value, t.prefix) {
			return fmt.Errorf("%s does not begin with %s: the two tokens may have been swapped", t.name, t.prefix)
		}
	}
	if c.APIURL != "" && !strings.HasSuffix(c.APIURL, "/") {
		return usageError{fmt.Errorf("--api-url %s must end in a slash", c.APIURL)}
	}
	log := slog.New(slog.NewTextHandler(s.streams.Err, nil))
	h, err := s.open(bot.WithLog(log))
	if err != nil {
		return err
	}
	owners := h.profile.Owners
	w, err := workspace.New(workspace.Config{
		Handler:  workspace.HandlerFunc(h.handle),
		BotToken: botToken, AppToken: appToken, APIURL: c.APIURL, Log: log,
		Owner: func(_, user string) bool { return slices.Contains(owners, user) },
	})
	if err != nil {
		return err
	}
	return w.Run(s.ctx)
}

// handle passes a message of the workspace to the bot.
func (h *house) handle(ctx context.Context, m workspace.Message) reply.Reply {
	in := bot.Message{Text: m.Text, Conversation: m.Conversation(), User: m.Team + "/" + m.User, Owner: m.Owner, Shared: m.Shared, At: m.At}
	for _, f := range m.Files {
		in.Files = append(in.Files, bot.File{Name: f.Name, Size: f.Size, Open: func() (io.ReadCloser, error) { return f.Open(ctx) }})
	}
	return h.bot.Handle(ctx, in)
}

type slackManifest struct{}

// Run implements the command.
func (slackManifest) Run(s *session) error {
	text, err := workspace.Manifest("")
	if err != nil {
		return err
	}
	_, err = s.streams.Out.Write(text)
	return err
}
