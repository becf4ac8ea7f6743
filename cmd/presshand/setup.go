package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/store"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// A house is everything that answers: knowledge, profile, desk, bot.
type house struct {
	base    *knowledge.Base // as it was at the start
	profile *shop.Profile
	desk    *answer.Desk // as it was at the start; bot.Desk is the one of now
	bot     *bot.Bot
	rules   *ruleBook
	store   *store.Store // nil where nothing is kept
	now     func() time.Time
}

// unset is the collector's pace where nobody chose one (GOGC).
const unset = 100

// open loads the knowledge base and the shop profile and sets up the bot.
func (s *session) open(options ...bot.Option) (*house, error) {
	// Nearly all that a start allocates stays: collecting garbage meanwhile
	// would only cost time.
	usual := debug.SetGCPercent(-1)
	if usual == unset {
		usual = bot.GCPercent
	}
	defer debug.SetGCPercent(usual)
	now, err := s.clock()
	if err != nil {
		return nil, err
	}
	state := knowledge.NewShelf(s.flags.Knowledge).State() // before it is read, so that no change is missed
	shelf, base, err := s.shelf()
	if err != nil {
		return nil, err
	}
	profile, err := s.profile(base)
	if err != nil {
		return nil, err
	}
	kept, err := s.keepGoing()
	if err != nil {
		return nil, err
	}
	options = append([]bot.Option{bot.WithClock(now)}, options...)
	var settings []answer.Option
	if kept != nil {
		settings = append(settings, answer.WithBoard(kept))
		options = append(options, bot.WithMemories(kept), bot.WithVoices(kept), bot.WithGaps(kept))
	}
	reword, err := s.rewording(base, profile)
	if err != nil {
		return nil, err
	}
	options = append(options, reword...)
	if s.pictures {
		settings = append(settings, answer.WithPictures())
	}
	book := &ruleBook{shelf: shelf, profile: profile, log: s.log, state: state}
	book.settings = append(settings, answer.WithRules(book))
	desk, err := answer.New(base, profile, book.settings...)
	if err != nil {
		return nil, err
	}
	book.bot = bot.New(base, profile, desk, options...)
	return &house{base: base, profile: profile, desk: desk, store: kept, now: now, bot: book.bot, rules: book}, nil
}

// keepGoing opens the store of --data. Where its file is at fault, that is
// said, and what needs no store goes on: nil without --data.
func (s *session) keepGoing() (*store.Store, error) {
	if s.flags.Data == "" {
		return nil, nil
	}
	kept, err := s.openStore()
	var fault *store.Fault
	if errors.As(err, &fault) {
		fmt.Fprintf(s.streams.Err, "presshand: nothing is kept: %v\n", err)
		return store.Broken(fault), nil
	}
	return kept, err
}

// openStore opens the store of --data for a command that can't do without.
func (s *session) openStore() (*store.Store, error) {
	if s.flags.Data == "" {
		return nil, errors.New("no store is named: give the folder it is in with --data")
	}
	options := []store.Option{}
	if s.log != nil {
		options = append(options, store.WithLog(s.log))
	}
	kept, err := store.Open(s.ctx, s.flags.Data, options...)
	if err != nil {
		return nil, fmt.Errorf("--data %s: %w", s.flags.Data, err)
	}
	s.closers = append(s.closers, kept)
	return kept, nil
}

// existingStore opens a store that is there; one that is read only is not made
// by naming it.
func (s *session) existingStore() (*store.Store, error) {
	if s.flags.Data != "" {
		if _, err := os.Stat(filepath.Join(s.flags.Data, store.FileName)); err != nil {
			return nil, fmt.Errorf("--data: %w: name the folder that chat, ask or slack keep their store in", pathError(err))
		}
	}
	return s.openStore()
}

// clock returns the clock: held still by --now.
func (s *session) clock() (func() time.Time, error) {
	if s.flags.Now == "" {
		return time.Now, nil
	}
	t, err := time.Parse(time.RFC3339, s.flags.Now)
	if err != nil {
		return nil, usageError{fmt.Errorf("--now %q is no time: write it as 2026-11-25T09:00:00-05:00", s.flags.Now)}
	}
	return func() time.Time { return t }, nil
}

// shelf opens the knowledge: the built-in one, and the shop's folder over it.
func (s *session) shelf() (*knowledge.Shelf, *knowledge.Base, error) {
	if dir := s.flags.Knowledge; dir != "" {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return nil, nil, fmt.Errorf("--knowledge %s is no folder that can be read: name the folder that holds the shop's .yaml files", dir)
		}
	}
	shelf := knowledge.NewShelf(s.flags.Knowledge)
	base, err := shelf.Base()
	if err != nil {
		return nil, nil, fmt.Errorf("the knowledge files have faults, and a faulty base never answers: %w", err)
	}
	return shelf, base, nil
}

func (s *session) base() (*knowledge.Base, error) {
	_, base, err := s.shelf()
	return base, err
}

func (s *session) profile(base *knowledge.Base) (*shop.Profile, error) {
	if s.flags.Shop == "" {
		return shop.Example(), nil
	}
	f, err := os.Open(s.flags.Shop)
	if err != nil {
		return nil, fmt.Errorf("--shop: %w: write one to start from with presshand shop init", pathError(err))
	}
	defer f.Close()
	return loadProfile(f, s.flags.Shop, base)
}

// loadProfile reads a profile and checks it against the knowledge base.
func loadProfile(f io.Reader, name string, base *knowledge.Base) (*shop.Profile, error) {
	profile, err := shop.Load(f, name)
	if err != nil {
		return nil, err
	}
	if problems := shop.CheckIDs(profile, knownIDs(base)); len(problems) > 0 {
		return nil, shop.Problems(problems)
	}
	return profile, nil
}

// knownIDs lists what a profile may name.
func knownIDs(base *knowledge.Base) shop.Known {
	var k shop.Known
	for _, m := range base.Methods {
		k.Methods = append(k.Methods, m.ID)
		k.Stock = append(k.Stock, m.Stock...)
	}
	for _, b := range base.Blanks {
		k.Items = append(k.Items, b.Item)
	}
	return k
}

// pathError drops the operation's name from a file error: "no such file" says
// enough.
func pathError(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}
