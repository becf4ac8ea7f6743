package document

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// MaxBytes is the largest file that is read: far above any hand-written file
// and low enough that a wrong file (a photo, a log) is refused at once.
const MaxBytes = 1 << 20

// MostProblems is how many problems of one file are reported: more than a
// person mends in one go, and few enough to keep a broken file quick to refuse.
const MostProblems = 1000

// A File is one YAML file under inspection. It collects its problems.
type File struct {
	Name     string
	Data     []byte
	Problems Problems

	starts []int // byte offset of each line; built when first needed
}

// Parse reads one YAML document that is a mapping. Where it returns nil, the
// file's Problems say why.
func Parse(name string, data []byte) (*File, *yaml.Node) {
	f := &File{Name: name, Data: data}
	first := Pos{name, 1, 1}
	switch {
	case len(data) > MaxBytes:
		f.Data = nil
		f.Report(first, "size", "split it into several files",
			"file has %d bytes, more than the %d allowed", len(data), MaxBytes)
		return f, nil
	case !utf8.Valid(data):
		f.Report(f.invalidUTF8(), "syntax", "save the file as UTF-8", "file is not valid UTF-8")
		return f, nil
	}
	var doc yaml.Node
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	if err := decode(decoder, &doc); err != nil && !errors.Is(err, io.EOF) {
		f.syntax(err)
		return f, nil
	}
	if len(doc.Content) == 0 || doc.Content[0].Tag == "!!null" {
		f.Report(first, "empty", "write at least one section, or delete the file", "file is empty")
		return f, nil
	}
	root := doc.Content[0]
	if root.Kind != yaml.MappingNode {
		f.Report(f.Pos(root), "form", `begin with a section name and a colon, such as "methods:"`,
			"file holds %s, not named sections", describe(root))
		return f, nil
	}
	var more yaml.Node
	if err := decode(decoder, &more); !errors.Is(err, io.EOF) {
		if err != nil {
			f.syntax(err)
		} else {
			f.Report(f.Pos(&more), "form", `remove the line "---" or put the rest into a file of its own`,
				"file holds more than one document")
		}
		return f, nil
	}
	if !f.plain(root) {
		return f, nil
	}
	return f, root
}

// decode reads the next document. The library reports some malformed input by
// a panic of its own; here it is an error like any other.
func decode(d *yaml.Decoder, n *yaml.Node) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("yaml: unreadable: %v", r)
		}
	}()
	return d.Decode(n)
}

// plain refuses what a data file has no use for and what lets a small file
// grow without bound: aliases, anchors, merges, tags.
func (f *File) plain(n *yaml.Node) bool {
	ok := true
	refuse := func(what string) {
		f.Report(f.Pos(n), "plain", "write the value out in each place", "%s", what)
		ok = false
	}
	switch {
	case n.Kind == yaml.AliasNode:
		refuse(fmt.Sprintf("alias %q: knowledge is written out, not referred to", "*"+n.Value))
		return false
	case n.Anchor != "":
		refuse(fmt.Sprintf("anchor %q: knowledge is written out, not referred to", "&"+n.Anchor))
	case n.Tag == "!!merge":
		refuse(`merge key "<<"`)
	case n.Style&yaml.TaggedStyle != 0:
		refuse(fmt.Sprintf("tag %q: types follow from the field", n.Tag))
	}
	for _, child := range n.Content {
		ok = f.plain(child) && ok
	}
	return ok
}

var yamlLine = regexp.MustCompile(`^yaml: line (\d+): `)

// syntax reports an error of the YAML library. It knows the line only; the
// column is that of the line's first character that is no blank.
func (f *File) syntax(err error) {
	line, message := 1, strings.TrimPrefix(err.Error(), "yaml: ")
	if m := yamlLine.FindStringSubmatch(err.Error()); m != nil {
		line, _ = strconv.Atoi(m[1])
		message = err.Error()[len(m[0]):]
	}
	f.index()
	blanks := func() int { return len(f.Line(line)) - len(strings.TrimLeft(f.Line(line), " ")) }
	if strings.Contains(message, "tab character") {
		// The library names the line where the structure round it began.
		for line < len(f.starts) && !strings.HasPrefix(f.Line(line)[blanks():], "\t") {
			line++
		}
	}
	f.Report(Pos{f.Name, line, blanks() + 1}, "syntax",
		"check indents (blanks only), colons followed by a blank, closed quotes and brackets, here and on the line above",
		"not valid YAML: %s", message)
}

// Report adds a problem; the message is formatted as by fmt.Sprintf.
// Beyond MostProblems it only says that there are more.
func (f *File) Report(at Pos, rule, mend, format string, args ...any) {
	switch {
	case len(f.Problems) > MostProblems:
		return
	case len(f.Problems) == MostProblems:
		f.Problems = append(f.Problems, Problem{Pos: at, Rule: "more", Message: "there are more problems", Mend: "mend those above first"})
		return
	}
	f.Problems = append(f.Problems, Problem{
		Pos: at, Message: fmt.Sprintf(format, args...), Rule: rule, Line: f.Line(at.Line), Mend: mend,
	})
}

// Pos returns where n begins.
func (f *File) Pos(n *yaml.Node) Pos {
	return Pos{f.Name, max(n.Line, 1), max(n.Column, 1)}
}

// Line returns the text of a line, counted from 1; "" beyond the file's end.
func (f *File) Line(number int) string {
	f.index()
	if number < 1 || number > len(f.starts) {
		return ""
	}
	from, to := f.starts[number-1], len(f.Data)
	if number < len(f.starts) {
		to = f.starts[number]
	}
	to = min(to, from+longestLine)
	return strings.ToValidUTF8(strings.TrimRight(string(f.Data[from:to]), "\r\n"), "")
}

// Bounds on what a report quotes and searches, so that a broken file of one
// endless line costs no more than a long one: a line no wider than a few
// screens, a scalar no longer than a few pages.
const (
	longestLine   = 400
	longestScalar = 16 << 10
)

func (f *File) index() {
	if f.starts != nil {
		return
	}
	f.starts = []int{0}
	for i, c := range f.Data {
		if c == '\n' {
			f.starts = append(f.starts, i+1)
		}
	}
}

// Find returns the place of the first character at or after from for which
// match is true; match gets the rest of the file from that character on. It
// serves to point into a scalar, whose node knows only where it begins.
func (f *File) Find(from Pos, match func(rest string) bool) Pos {
	f.index()
	if len(f.Problems) > MostProblems || from.Line < 1 || from.Line > len(f.starts) {
		return from
	}
	start := f.starts[from.Line-1]
	rest := string(f.Data[start:min(len(f.Data), start+longestScalar)])
	at := Pos{from.File, from.Line, 1}
	for i, r := range rest {
		if at.Compare(from) >= 0 && match(rest[i:]) {
			return at
		}
		at.Column++
		if r == '\n' {
			at.Line, at.Column = at.Line+1, 1
		}
	}
	return from
}

func (f *File) invalidUTF8() Pos {
	line, column := 1, 1
	for rest := f.Data; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		if r == utf8.RuneError && n == 1 {
			break
		}
		column++
		if r == '\n' {
			line, column = line+1, 1
		}
		rest = rest[n:]
	}
	return Pos{f.Name, line, column}
}

// describe says in words what a node is.
func describe(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a mapping"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Tag == "!!null":
		return "nothing"
	}
	return strconv.Quote(shorten(n.Value))
}

func shorten(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
