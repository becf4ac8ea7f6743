package bot

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// MaxText is the longest message that is read, in characters. Nobody asks a
// question of that length; a pasted file is better sent as a file.
const MaxText = 20_000

// A Message is what a person said, free of the way it came.
type Message struct {
	Text         string
	Conversation string // messages of one conversation share it; "" stands alone
	User         string // workspace user id, or a name of the face's own
	Owner        bool   // the shop profile names the user as an owner
	Shared       bool   // others read along
	Files        []File
	At           time.Time // when it was said; the zero time means now
}

// A File came with a message.
type File struct {
	Name string
	Size int64
	Open func() (io.ReadCloser, error)
}

// Errors of messages that are not read at all.
var (
	ErrEmpty   = errors.New("the message is empty: type a question or an order, for example: how long cool peel")
	ErrTooLong = fmt.Errorf("the message is longer than %d characters: send the question alone, or the list as a file", MaxText)
)

// Readable returns ErrEmpty or ErrTooLong for a message that is not read.
func (m Message) Readable() error {
	if utf8.RuneCountInString(m.Text) > MaxText {
		return ErrTooLong
	}
	if strings.TrimFunc(m.Text, blank) == "" && len(m.Files) == 0 {
		return ErrEmpty
	}
	return nil
}

// blank reports characters that say nothing: spaces, control characters,
// zero-width marks.
func blank(r rune) bool {
	return r <= ' ' || r == 0x7f || r >= 0x80 && r <= 0xa0 || r >= 0x200b && r <= 0x200f || r >= 0x202a && r <= 0x202e || r == 0x2060 || r == 0xfeff
}
