package bot_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"io"
	"strings"
	"testing"
	"time"

	"presshand/bot"
	desks "presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

func testBot(t testing.TB, options ...desks.Option) *bot.Bot {
	t.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	profile := shop.Example()
	desk, err := desks.New(base, profile, options...)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 25, 10, 0, 0, 0, profile.Zone)
	return bot.New(base, profile, desk, bot.WithClock(func() time.Time { return now }))
}

// drawing is a red disc on nothing: its truth is known.
func drawing(t testing.TB, side int) []byte {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, side, side))
	r := side / 2
	for y := range side {
		for x := range side {
			if dx, dy := x-r, y-r; dx*dx+dy*dy < r*r {
				img.Set(x, y, color.NRGBA{220, 20, 30, 255})
			}
		}
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func dropped(name string, data []byte) []bot.File {
	return []bot.File{{Name: name, Size: int64(len(data)), Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}}
}

// A file is looked at for what its text asks, and what was measured is what the
// quote of the same conversation is made with.
func TestFileFlowsIntoQuote(t *testing.T) {
	b := testBot(t, desks.WithPictures())
	say := func(text string, files ...bot.File) reply.Reply {
		return b.Handle(context.Background(), bot.Message{Text: text, Conversation: "c", User: "u", Owner: true, Files: files})
	}
	seen := say("8 in wide on a black cotton tee", dropped("disc.png", drawing(t, 1200))...)
	if seen.Topic != "art" || !strings.Contains(seen.Lines[0], "150 ppi at 8 x 8 in") {
		t.Fatalf("topic %q: %s", seen.Topic, seen.Text())
	}
	if len(seen.Files) != 1 || seen.Files[0].Alt == "" {
		t.Fatalf("%d pictures", len(seen.Files))
	}
	if data, err := seen.Files[0].Draw(); err != nil || !bytes.HasPrefix(data, []byte("\x89PNG")) {
		t.Errorf("%d bytes of no PNG, %v", len(data), err)
	}
	measured := say("24 black cotton tees, 8x8 front")
	toner := func(r reply.Reply) string {
		for _, f := range b.Handle(context.Background(), bot.Message{Text: "why that price?", Conversation: "c", User: "u", Owner: true}).Facts {
			if f.Name == "cost_toner" {
				return f.Value.(string)
			}
		}
		t.Fatal("no toner cost")
		return ""
	}
	with := toner(measured)
	other := testBot(t)
	other.Handle(context.Background(), bot.Message{Text: "24 black cotton tees, 8x8 front", Conversation: "c", User: "u", Owner: true})
	b = other
	if without := toner(reply.Reply{}); with == without {
		t.Errorf("toner costs %s with the art measured and without", with)
	}
}

// The picture of an answer can be drawn whenever it is wanted, also after other
// answers, and is the same each time.
func TestPicturesAreDrawnWhenWanted(t *testing.T) {
	b := testBot(t, desks.WithPictures())
	say := func(text string) reply.Reply {
		return b.Handle(context.Background(), bot.Message{Text: text, Conversation: "c", User: "u"})
	}
	for _, text := range []string{"24 black cotton tees, 9x7 front", "timeline", "sheets for 50 of 3x3 in", "what does red look like on a yellow tee"} {
		r := say(text)
		say("make it 60")
		if len(r.Files) == 0 {
			t.Errorf("%q: no picture with %q", text, r.Text())
		}
		for _, f := range r.Files {
			first, err := f.Draw()
			if err != nil {
				t.Fatal(err)
			}
			if img, err := png.Decode(bytes.NewReader(first)); err != nil || img.Bounds().Dx() < 300 {
				t.Errorf("%q: %s is no picture: %v", text, f.Name, err)
			}
			if again, err := f.Draw(); err != nil || !bytes.Equal(first, again) {
				t.Errorf("%q: %s is drawn another way the second time, %v", text, f.Name, err)
			}
		}
	}
}

// What can't be read is said in words; nothing breaks.
func TestFilesThatAreNoArt(t *testing.T) {
	b := testBot(t)
	for name, data := range map[string][]byte{
		"empty.png": {}, "text.png": []byte("this is no picture at all"), "cut.png": drawing(t, 200)[:400],
		"sheet.pdf": []byte("%PDF-1.7\n1 0 obj\n"),
	} {
		r := b.Handle(context.Background(), bot.Message{Text: "is this big enough", Conversation: name, User: "u", Files: dropped(name, data)})
		if r.Topic != "art" || len(r.Lines) == 0 || r.Lines[0] == "" || r.Note != "" {
			t.Errorf("%s: topic %q, %q, note %q", name, r.Topic, r.Text(), r.Note)
		}
		if strings.HasSuffix(name, ".pdf") && !strings.Contains(r.Text(), "PDF") {
			t.Errorf("a PDF is refused with %q", r.Text())
		}
	}
}
