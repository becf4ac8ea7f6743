package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"

	"go.yaml.in/yaml/v3"
)

// A Shelf is the built-in knowledge with a shop's own folder over it, to which
// shop rules are added. It may be used by any number of goroutines.
type Shelf struct {
	dir    string
	mu     sync.Mutex // one rule is added at a time
	rename func(from, to string) error
}

// NewShelf returns the shelf of a folder; "" for the built-in knowledge alone,
// which takes no rules.
func NewShelf(dir string) *Shelf { return &Shelf{dir: dir, rename: os.Rename} }

// Base loads everything anew. The error is a Problems.
func (s *Shelf) Base() (*Base, error) {
	base, problems := load(s.sets(), unpackBuiltin)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return base, nil
}

func (s *Shelf) sets() []fs.FS {
	if s.dir == "" {
		return []fs.FS{Builtin()}
	}
	return []fs.FS{Builtin(), Folder(s.dir)}
}

// State returns a line that changes with the shop's files: their names, sizes and
// times. It costs a look at the folder and reads no file.
func (s *Shelf) State() string {
	if s.dir == "" {
		return ""
	}
	set := Folder(s.dir)
	names, _ := yamlFiles(set)
	var b strings.Builder
	for _, name := range names {
		if info, err := fs.Stat(set, name); err == nil {
			fmt.Fprintln(&b, name, info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

// Writable returns a *FolderError where no rule can be added. It makes a hidden
// file and takes it away again.
func (s *Shelf) Writable() error {
	if s.dir == "" {
		return &FolderError{plain: noFolder}
	}
	f, err := os.CreateTemp(s.dir, ".writable-*")
	if err != nil {
		return s.folderError(err)
	}
	f.Close()
	if err := os.Remove(f.Name()); err != nil {
		return s.folderError(err)
	}
	return nil
}

// A FolderError says that the shop's folder can't be added to.
type FolderError struct {
	Dir   string // "" where there is none
	plain string
	Err   error
}

// Error implements error.
func (e *FolderError) Error() string {
	if e.Err == nil {
		return e.plain
	}
	return fmt.Sprintf("%s: %s: %v", e.Dir, e.plain, e.Err)
}

// Unwrap returns what the file system said.
func (e *FolderError) Unwrap() error { return e.Err }

// Plain says in words for people what is wrong and how to mend it.
func (e *FolderError) Plain() string { return e.plain }

// folderError puts words to what the file system said.
func (s *Shelf) folderError(err error) error {
	plain := "the shop's knowledge folder does not take the file; look at the disk, then say it again"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		plain = "the shop's knowledge folder is gone; make it again, then say it again"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		plain = "the shop's knowledge folder is read-only; give me the right to write there, then say it again"
	case errors.Is(err, syscall.ENOSPC):
		plain = "the disk of the shop's knowledge folder is full; make room, then say it again"
	}
	return &FolderError{Dir: s.dir, plain: plain, Err: err}
}

// Add gives a rule the next number, checks it with all there is as if it stood
// in the folder, and writes it there as a file of its own. It returns the rule
// as it is read back and the base with it. Either the whole rule is in the
// folder afterwards or nothing of it, whenever the machine stops: it is
// written beside its place, forced to the disk, and then given its name.
//
// Errors: a Problems where the rule, or the folder as it stands, is at fault; a
// *FolderError where the folder does not take it. Nothing is written then.
func (s *Shelf) Add(r ShopRule) (*ShopRule, *Base, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	file, err := s.reserve()
	if err != nil {
		return nil, nil, err
	}
	beside := file.Name()
	defer func() {
		file.Close()
		os.Remove(beside) // gone already where all went well
	}()
	number := numberIn(filepath.Base(beside))
	base, data, err := s.try(r, number)
	if err != nil {
		return nil, nil, err
	}
	if err := write(file, data); err != nil {
		return nil, nil, s.folderError(err)
	}
	if err := s.rename(beside, filepath.Join(s.dir, ruleFile(number))); err != nil {
		return nil, nil, s.folderError(err)
	}
	syncFolder(s.dir)
	added, _ := base.ShopRule(ruleID + strconv.Itoa(number))
	return added, base, nil
}

// Try returns what speaks against a rule, as Add would; nil where nothing does.
// It writes nothing.
func (s *Shelf) Try(r ShopRule) error {
	if s.dir == "" {
		return &FolderError{plain: noFolder}
	}
	number, err := s.next()
	if err != nil {
		return err
	}
	_, _, err = s.try(r, number)
	return err
}

const noFolder = "there is no shop folder; start me with --knowledge and a folder, and rules are saved there"

// try loads everything with the rule over it.
func (s *Shelf) try(r ShopRule, number int) (*Base, []byte, error) {
	r.ID = ruleID + strconv.Itoa(number)
	data, err := ruleText(r)
	if err != nil {
		return nil, nil, err
	}
	base, problems := load(s.sets(), unpackBuiltin, read(filepath.Join(s.dir, ruleFile(number)), data))
	return base, data, problems.Err()
}

func ruleFile(number int) string { return fmt.Sprintf("%s%04d.yaml", ruleID, number) }

// A rule being written has its name with a point before it, so that nobody
// reads it, and an ending of its own.
const besideEnd = ".new"

var ruleName = regexp.MustCompile(`^\.?` + ruleID + `(\d{1,9})\.yaml(` + regexp.QuoteMeta(besideEnd) + `)?$`)

// numberIn returns the number in the name of a rule's file, 0 of other names.
func numberIn(name string) int {
	m := ruleName.FindStringSubmatch(name)
	if m == nil {
		return 0
	}
	n, _ := strconv.Atoi(m[1]) // at most nine digits
	return n
}

// next is one more than any number taken: by a file, by one that was left half
// written when the machine stopped, or by an entry of any file.
func (s *Shelf) next() (int, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return 0, s.folderError(err)
	}
	most := 0
	for _, e := range entries {
		most = max(most, numberIn(e.Name()))
	}
	base, err := s.Base()
	if err != nil {
		return 0, err
	}
	for _, r := range base.ShopRules {
		most = max(most, r.Number())
	}
	return most + 1, nil
}

// reserve takes the next number by making the file that is written beside the
// rule's place: only one program can make it, and it is made only where the
// place itself is free.
func (s *Shelf) reserve() (*os.File, error) {
	if s.dir == "" {
		return nil, &FolderError{plain: noFolder}
	}
	const tries = 100 // other programs that add rules at the same time
	for range tries {
		number, err := s.next()
		if err != nil {
			return nil, err
		}
		f, err := os.OpenFile(filepath.Join(s.dir, "."+ruleFile(number)+besideEnd), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, s.folderError(err)
		}
		if _, err := os.Lstat(filepath.Join(s.dir, ruleFile(number))); errors.Is(err, fs.ErrNotExist) {
			return f, nil
		}
		f.Close()
		os.Remove(f.Name())
	}
	return nil, s.folderError(errors.New("other programs keep taking the next number"))
}

func write(f *os.File, data []byte) error {
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

// syncFolder forces the folder's list of names to the disk, where the system
// can do that.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

const ruleHead = `# A shop rule, written when an owner of the shop said so in chat. FORMAT.md explains
# it under shop_rules. It is never deleted: say "undo shop rule %d" to take it back.
`

// ruleText writes a rule as a knowledge file.
func ruleText(r ShopRule) ([]byte, error) {
	m := &mapping{}
	m.text("id", r.ID)
	m.text("source", string(Shop))
	m.quoted("by", r.By)
	m.quoted("wish_of", r.WishOf)
	m.quoted("at", r.At)
	m.quoted("said", r.Said)
	m.quoted("why", r.Why)
	m.text("undoes", r.Undoes)
	m.list("recipes", r.Recipes)
	m.list("blanks", r.Blanks)
	for _, x := range r.changes() {
		if x.change.empty() {
			continue
		}
		in := &mapping{flow: true}
		in.value("temperature", x.change.Temperature)
		in.value("time", x.change.Time)
		in.text("pressure", x.change.Pressure.Is)
		m.put(x.part, in.node())
	}
	m.value("cool_wait", r.CoolWait)
	var notes []string
	for _, n := range r.Notes {
		notes = append(notes, string(n))
	}
	m.list("notes", notes)
	root := &mapping{}
	root.put("shop_rules", &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{m.node()}})
	var out bytes.Buffer
	fmt.Fprintf(&out, ruleHead, numberIn(r.ID+".yaml"))
	encoder := yaml.NewEncoder(&out)
	encoder.SetIndent(2)
	if err := encoder.Encode(root.node()); err != nil {
		return nil, fmt.Errorf("write shop rule: %w", err)
	}
	return out.Bytes(), encoder.Close()
}

// A mapping is a YAML mapping being written; what is empty is left out.
type mapping struct {
	flow    bool
	content []*yaml.Node
}

func (m *mapping) put(key string, n *yaml.Node) {
	m.content = append(m.content, &yaml.Node{Kind: yaml.ScalarNode, Value: key}, n)
}

func (m *mapping) scalar(key, s string, style yaml.Style) {
	if s != "" {
		m.put(key, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s, Style: style})
	}
}

func (m *mapping) text(key, s string) { m.scalar(key, s, 0) }

// quoted is for what people wrote: nothing in it may be taken for YAML.
func (m *mapping) quoted(key, s string) { m.scalar(key, s, yaml.DoubleQuotedStyle) }

func (m *mapping) list(key string, items []string) {
	if len(items) == 0 {
		return
	}
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, s := range items {
		n.Content = append(n.Content, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s})
	}
	m.put(key, n)
}

func (m *mapping) value(key string, v Value) {
	if v.Known() {
		m.text(key, written(v))
	}
}

func (m *mapping) node() *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Content: m.content}
	if m.flow {
		n.Style = yaml.FlowStyle
	}
	return n
}

// written is a temperature or a time as a knowledge file has it, in the unit it
// was said in.
func written(v Value) string {
	const exact = 1e6 // a rounding of the conversion away: 390, not 390.00000000000006
	number, as := v.Is, map[Dimension]string{Temperature: "C", Time: "s"}[v.Dimension]
	if v.Dimension == Temperature && v.Unit == "F" {
		number, as = v.Temperature().F(), "F"
	}
	return strconv.FormatFloat(math.Round(number*exact)/exact, 'f', -1, 64) + " " + as
}
