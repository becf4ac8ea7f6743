package questions

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v3"
)

// The sets. Failures of Check are counted and not looked at.
const (
	Tune  = "tune"
	Check = "check"
)

// A Case is one question and what its answer must hold. The fields are
// explained at the head of each question file; facts stand in the units of
// the answer object.
type Case struct {
	Ask        string                `yaml:"ask"`
	After      []string              `yaml:"after"`
	Outcome    oneOf                 `yaml:"outcome"`
	Topic      oneOf                 `yaml:"topic"`
	Facts      map[string]any        `yaml:"facts"`
	Unit       string                `yaml:"unit"`
	Within     map[string][2]float64 `yaml:"within"`
	FactsOf    string                `yaml:"facts_of"`
	MethodsOut map[string][]string   `yaml:"methods_out"`
	Order      *Order                `yaml:"order"`
	Quote      map[string]float64    `yaml:"quote"`
	Entry      oneOf                 `yaml:"entry"`
	Says       []string              `yaml:"says"`
	Never      []string              `yaml:"never"`
	Lang       string                `yaml:"lang"`

	Set  string `yaml:"-"` // tune or check
	File string `yaml:"-"`
}

// An Order is the part of an order that a case compares; zero values are not
// compared. Quantity is of all lines, the rest of the first line and its first
// print, lengths in mm.
type Order struct {
	Quantity int            `yaml:"quantity"`
	Item     string         `yaml:"item"`
	Colour   string         `yaml:"colour"`
	Fibre    map[string]int `yaml:"fibre"`
	Sizes    map[string]int `yaml:"sizes"`
	Spot     string         `yaml:"spot"`
	Width    float64        `yaml:"width"`
	Height   float64        `yaml:"height"`
	Blanks   string         `yaml:"blanks"`
	Due      string         `yaml:"due"`
	Rush     bool           `yaml:"rush"`
}

// oneOf reads a word or a list of words, any of which is right.
type oneOf []string

// UnmarshalYAML implements yaml.Unmarshaler.
func (o *oneOf) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind == yaml.ScalarNode {
		*o = oneOf{n.Value}
		return nil
	}
	var words []string
	if err := n.Decode(&words); err != nil {
		return err
	}
	*o = words
	return nil
}

// Root returns the module's root: the nearest folder above the working
// directory that holds the module named presshand.
func Root() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		mod, err := os.ReadFile(filepath.Join(dir, "go.mod"))
		if err == nil && strings.HasPrefix(string(mod), "module presshand\n") {
			return dir, nil
		}
		if up := filepath.Dir(dir); up != dir {
			dir = up
			continue
		}
		return "", errors.New("no go.mod of module presshand above the working directory: run the test inside the module")
	}
}

// Load reads every question file below root, in the order of their names.
func Load(root string) ([]Case, error) {
	files, err := filepath.Glob(filepath.Join(root, "testdata", "questions", "*.yaml"))
	if err != nil {
		return nil, err
	}
	var cases []Case
	for _, file := range files {
		more, err := read(file)
		if err != nil {
			return nil, err
		}
		cases = append(cases, more...)
	}
	if len(cases) == 0 {
		return nil, fmt.Errorf("no questions in %s: restore testdata/questions", root)
	}
	return cases, nil
}

func read(path string) ([]Case, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	dec := yaml.NewDecoder(f)
	dec.KnownFields(true)
	var cases []Case
	if err := dec.Decode(&cases); err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	name := filepath.Base(path)
	set, _, _ := strings.Cut(name, "-")
	if set != Tune && set != Check {
		return nil, fmt.Errorf("%s: a question file's name begins with tune- or check-", path)
	}
	for i := range cases {
		c := &cases[i]
		c.Set, c.File = set, name
		if c.Ask == "" || len(c.Outcome) == 0 {
			return nil, fmt.Errorf("%s: question %d (%q) lacks ask or outcome", path, i+1, c.Ask)
		}
	}
	return cases, nil
}
