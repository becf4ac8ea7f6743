package workspace

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"math"
	"math/rand/v2"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"presshand/bot/reply"
)

// metadataType marks the bot's own posts. Its payload holds the post's id, by
// which a post is found again, and its state.
const metadataType = "presshand_answer"

// States of a post.
const (
	stateWorking = "working" // a progress line that the answer will replace
	stateFiles   = "files"   // the answer, whose files are uploaded after it
	stateDone    = "done"    // the answer, to which nothing is to come
)

// An outbox sends. It keeps the platform's pace, obeys its delays, and never
// sends a message again without having looked whether it is there.
type outbox struct {
	api   *slack.Client
	log   *slog.Logger
	meter Meter

	mu    sync.Mutex
	turns map[string]time.Time // channel -> theoretical time of its next message
	holds map[string]time.Time // method -> not before
}

func newOutbox(api *slack.Client, log *slog.Logger, meter Meter) *outbox {
	return &outbox{api: api, log: log, meter: meter, turns: map[string]time.Time{}, holds: map[string]time.Time{}}
}

// A posted message.
type posted struct {
	channel string
	ts      string
	state   string
}

// postID names the answer to a message for good, so that it is found again
// even after a restart.
func postID(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:12])
}

// pace reserves the channel's next turn and returns the wait until then: after
// a burst of paceBurst messages, one every paceEvery. It is the generic cell
// rate algorithm (ITU-T I.371).
func (o *outbox) pace(channel string, now time.Time) time.Duration {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.turns) > 4096 {
		for name, turn := range o.turns {
			if turn.Before(now) {
				delete(o.turns, name)
			}
		}
	}
	turn := o.turns[channel]
	if turn.Before(now) {
		turn = now
	}
	o.turns[channel] = turn.Add(paceEvery)
	return max(0, turn.Sub(now)-(paceBurst-1)*paceEvery)
}

// hold keeps a method back, as the platform asked. Its limits are per method
// and workspace, so all channels wait.
func (o *outbox) hold(method string, d time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if until := time.Now().Add(d); until.After(o.holds[method]) {
		o.holds[method] = until
	}
}

// clear waits until the method is not held back.
func (o *outbox) clear(ctx context.Context, method string) error {
	for {
		o.mu.Lock()
		wait := time.Until(o.holds[method])
		o.mu.Unlock()
		if wait <= 0 {
			return ctx.Err()
		}
		o.meter.Waited("limit", wait)
		if err := sleep(ctx, wait); err != nil {
			return err
		}
	}
}

// A fate says what a failed call means.
type fate int

const (
	fateLimited fate = iota // not carried out; wait and send again
	fateRefused             // not carried out, and it never will be
	fateUnsure              // it may have been carried out
)

// judge sorts a call's error.
func judge(err error) (fate, time.Duration) {
	var limited *slack.RateLimitedError
	var status slack.StatusCodeError
	var said slack.SlackErrorResponse
	switch {
	case errors.As(err, &limited):
		return fateLimited, max(limited.RetryAfter, rateLeast)
	case errors.As(err, &status) && status.Code == http.StatusTooManyRequests:
		return fateLimited, rateDefault
	case errors.As(err, &status) && status.Code < 500:
		return fateRefused, 0
	case errors.As(err, &said):
		switch said.Err {
		case "ratelimited", "rate_limited":
			return fateLimited, rateDefault
		case "internal_error", "fatal_error", "service_unavailable", "request_timeout", "team_added_to_org":
			return fateUnsure, 0
		}
		return fateRefused, 0
	}
	return fateUnsure, 0
}

// call makes one call of a method until it is carried out or refused. It is
// for calls that do no harm when carried out twice.
func (o *outbox) call(ctx context.Context, method string, do func(context.Context) error) error {
	return o.tries(ctx, method, math.MaxInt, do)
}

// post sends a message once and returns where it stands. Where a call broke off
// so that the message may or may not be there, it is looked up before it is
// sent again.
func (o *outbox) post(ctx context.Context, p Place, id, state string, pg page) (posted, error) {
	const method = "chat.postMessage"
	if wait := o.pace(p.Channel, time.Now()); wait > 0 {
		o.meter.Waited("pace", wait)
		if err := sleep(ctx, wait); err != nil {
			return posted{}, err
		}
	}
	for try := 0; ; try++ {
		if err := o.clear(ctx, method); err != nil {
			return posted{}, err
		}
		channel, ts, err := o.api.PostMessageContext(ctx, p.Channel, messageOptions(p.Thread, id, state, pg)...)
		if err == nil {
			return posted{channel: channel, ts: ts, state: state}, nil
		}
		what, wait := judge(err)
		switch {
		case what == fateLimited:
			o.hold(method, wait)
			continue
		case what == fateRefused && pg.Blocks != nil && aboutBlocks(err):
			o.log.Error("blocks refused, sending plain text", "error", err)
			pg.Blocks = nil
			continue
		case what == fateRefused:
			return posted{}, fmt.Errorf("%s: %w", method, err)
		}
		o.log.Warn("post broke off, looking it up", "try", try+1, "error", err)
		if err := sleep(ctx, max(settle, backoff(try))); err != nil {
			return posted{}, err
		}
		found, ok, err := o.find(ctx, p, func(m slack.Message) bool { return isPost(m, id) })
		if err != nil {
			return posted{}, fmt.Errorf("post may be there, and cannot be looked up: %w", err)
		}
		if ok {
			return found, nil
		}
	}
}

func messageOptions(thread, id, state string, pg page) []slack.MsgOption {
	options := []slack.MsgOption{
		slack.MsgOptionText(pg.Text, false),
		slack.MsgOptionDisableLinkUnfurl(),
		slack.MsgOptionDisableMediaUnfurl(),
		slack.MsgOptionMetadata(slack.SlackMetadata{
			EventType:    metadataType,
			EventPayload: map[string]any{"id": id, "state": state},
		}),
	}
	if pg.Blocks != nil {
		options = append(options, slack.MsgOptionBlocks(pg.Blocks...))
	} else {
		options = append(options, slack.MsgOptionBlocks())
	}
	if thread != "" {
		options = append(options, slack.MsgOptionTS(thread))
	}
	return options
}

// aboutBlocks reports whether the platform refused the blocks and not the
// message.
func aboutBlocks(err error) bool {
	var said slack.SlackErrorResponse
	if !errors.As(err, &said) {
		return false
	}
	switch said.Err {
	case "invalid_blocks", "invalid_blocks_format", "msg_blocks_too_long", "too_many_blocks":
		return true
	}
	return false
}

// saidGone reports whether the platform refused because the message is not
// there any more.
func saidGone(err error) bool {
	var said slack.SlackErrorResponse
	return errors.As(err, &said) && (said.Err == "message_not_found" || said.Err == "cant_update_message")
}

// isPost reports whether a message is the bot's post of that id.
func isPost(m slack.Message, id string) bool {
	return m.Metadata.EventType == metadataType && m.Metadata.EventPayload["id"] == id
}

// findPages bounds a look-up, in pages of findPage messages.
const (
	findPages = 10
	findPage  = 200
)

// find looks through the thread, or the flat direct channel, for a message.
func (o *outbox) find(ctx context.Context, p Place, is func(slack.Message) bool) (posted, bool, error) {
	cursor := ""
	for range findPages {
		messages, next, err := o.list(ctx, p, cursor)
		if err != nil {
			return posted{}, false, err
		}
		for _, m := range messages {
			if is(m) {
				state, _ := m.Metadata.EventPayload["state"].(string)
				return posted{channel: p.Channel, ts: m.Timestamp, state: state}, true, nil
			}
		}
		if next == "" {
			break
		}
		cursor = next
	}
	return posted{}, false, nil
}

// list reads one page of the conversation since the message that is answered.
func (o *outbox) list(ctx context.Context, p Place, cursor string) (messages []slack.Message, next string, err error) {
	if p.Thread != "" {
		err = o.call(ctx, "conversations.replies", func(ctx context.Context) error {
			messages, _, next, err = o.api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{
				ChannelID: p.Channel, Timestamp: p.Thread, Oldest: p.After, Inclusive: true,
				Cursor: cursor, Limit: findPage, IncludeAllMetadata: true,
			})
			return err
		})
		return messages, next, err
	}
	err = o.call(ctx, "conversations.history", func(ctx context.Context) error {
		history, err := o.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{
			ChannelID: p.Channel, Oldest: p.After, Inclusive: true,
			Cursor: cursor, Limit: findPage, IncludeAllMetadata: true,
		})
		if err == nil {
			messages, next = history.Messages, history.ResponseMetaData.NextCursor
		}
		return err
	})
	return messages, next, err
}

// update replaces a message of the bot's own.
func (o *outbox) update(ctx context.Context, at posted, id, state string, pg page) error {
	write := func(pg page) error {
		return o.call(ctx, "chat.update", func(ctx context.Context) error {
			_, _, _, err := o.api.UpdateMessageContext(ctx, at.channel, at.ts, messageOptions("", id, state, pg)...)
			return err
		})
	}
	err := write(pg)
	if err != nil && aboutBlocks(err) {
		pg.Blocks = nil
		err = write(pg)
	}
	return err
}

// whisper answers so that only the user sees it. The platform takes five such
// answers within thirty minutes of the question. One that broke off is not sent
// again: it can't be looked up.
func (o *outbox) whisper(ctx context.Context, p Place, pg page) error {
	return o.once(ctx, "response_url", func(ctx context.Context) error {
		_, _, err := o.api.PostMessageContext(ctx, p.Channel,
			slack.MsgOptionResponseURL(p.Reply, slack.ResponseTypeEphemeral),
			slack.MsgOptionText(pg.Text, false), slack.MsgOptionBlocks(pg.Blocks...))
		return err
	})
}

// hint shows one user a passing line in the channel.
func (o *outbox) hint(ctx context.Context, p Place, line string) error {
	options := []slack.MsgOption{slack.MsgOptionText(escape(line), false)}
	if p.Thread != "" {
		options = append(options, slack.MsgOptionTS(p.Thread))
	}
	return o.once(ctx, "chat.postEphemeral", func(ctx context.Context) error {
		_, err := o.api.PostEphemeralContext(ctx, p.Channel, p.User, options...)
		return err
	})
}

// once makes a call that must not be carried out twice and cannot be looked up:
// it is tried again only where the platform said that it was not carried out.
func (o *outbox) once(ctx context.Context, method string, do func(context.Context) error) error {
	for {
		if err := o.clear(ctx, method); err != nil {
			return err
		}
		err := do(ctx)
		if err == nil {
			return nil
		}
		what, wait := judge(err)
		if what != fateLimited {
			return fmt.Errorf("%s: %w", method, err)
		}
		o.hold(method, wait)
	}
}

// upload puts a file that holds data beside the answer, with its alt text. Only the last of its
// three calls shows anything, so only that one is looked up when it breaks off.
func (o *outbox) upload(ctx context.Context, p Place, f reply.File, data []byte) error {
	if len(data) == 0 {
		return fmt.Errorf("upload %q: the file is empty", f.Name)
	}
	var slot *slack.GetUploadURLExternalResponse
	err := o.tries(ctx, "files.getUploadURLExternal", uploadTries, func(ctx context.Context) (err error) {
		slot, err = o.api.GetUploadURLExternalContext(ctx, slack.GetUploadURLExternalParameters{
			FileName: f.Name, FileSize: len(data), AltTxt: cut(clean(f.Alt), maxAlt),
		})
		if err != nil {
			return err
		}
		return o.api.UploadToURL(ctx, slack.UploadToURLParameters{
			UploadURL: slot.UploadURL, Reader: bytes.NewReader(data), Filename: f.Name,
		})
	})
	if err != nil {
		return err
	}
	return o.tries(ctx, "files.completeUploadExternal", uploadTries, func(ctx context.Context) error {
		_, err := o.api.CompleteUploadExternalContext(ctx, slack.CompleteUploadExternalParameters{
			Files:   []slack.FileSummary{{ID: slot.FileID, Title: cut(clean(f.Name), maxHeader)}},
			Channel: p.Channel, ThreadTimestamp: p.Thread,
		})
		if err == nil {
			return nil
		}
		if what, _ := judge(err); what != fateUnsure {
			return err
		}
		if err := sleep(ctx, settle); err != nil {
			return err
		}
		_, there, lookErr := o.find(ctx, p, func(m slack.Message) bool { return holdsFile(m, slot.FileID) })
		if there || lookErr != nil {
			return lookErr
		}
		return err
	})
}

// uploaded reports whether a file of that name was put beside the answer
// before.
func (o *outbox) uploaded(ctx context.Context, p Place, name string) (bool, error) {
	_, there, err := o.find(ctx, p, func(m slack.Message) bool {
		return slices.ContainsFunc(m.Files, func(f slack.File) bool { return f.Name == name })
	})
	return there, err
}

func holdsFile(m slack.Message, id string) bool {
	for _, f := range m.Files {
		if f.ID == id {
			return true
		}
	}
	return false
}

// tries makes a call until it is carried out or refused, at most so many times.
func (o *outbox) tries(ctx context.Context, method string, most int, do func(context.Context) error) error {
	var err error
	for try := range most {
		if err := o.clear(ctx, method); err != nil {
			return err
		}
		if err = do(ctx); err == nil {
			return nil
		}
		what, wait := judge(err)
		switch what {
		case fateRefused:
			return fmt.Errorf("%s: %w", method, err)
		case fateLimited:
			o.hold(method, wait)
		case fateUnsure:
			o.log.Warn("call failed, trying again", "method", method, "try", try+1, "error", err)
			if err := sleep(ctx, backoff(try)); err != nil {
				return err
			}
		}
	}
	return fmt.Errorf("%s failed %d times: %w", method, most, err)
}

// backoff doubles from retryFirst to retryMost and varies by a fifth, so that
// many waiters do not come back at once.
func backoff(try int) time.Duration {
	d := retryMost
	if try < 10 {
		d = min(retryMost, retryFirst<<try)
	}
	return d - time.Duration(rand.Int64N(int64(d)/5))
}

// sleep waits, or returns early when ctx ends.
func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
