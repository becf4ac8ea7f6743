package knowledge

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// one returns a set that holds one file of testdata.
func one(t testing.TB, name string) fs.FS {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return fstest.MapFS{filepath.Base(name): {Data: data}}
}

func TestOK(t *testing.T) {
	for _, p := range Check(os.DirFS("testdata/ok")) {
		t.Errorf("unexpected problem:\n%s", p.Detail())
	}
}

// TestErr loads each file of testdata/err by itself. Every problem must be
// wanted and every wanted problem be there: as a comment on its line,
// "column: message [rule]" as a pattern, or as a line of the .out file beside
// it with the line number in front.
func TestErr(t *testing.T) {
	names, err := filepath.Glob("testdata/err/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal("no files", err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			wants := wanted(t, name)
			for _, p := range Check(one(t, filepath.Join("err", filepath.Base(name)))) {
				got := fmt.Sprintf("%d:%d: %s [%s]", p.Pos.Line, p.Pos.Column, p.Message, p.Rule)
				if !wants.take(got) {
					t.Errorf("unexpected problem:\n%s", p.Detail())
				}
			}
			for _, w := range wants {
				t.Errorf("missing problem: %s", w)
			}
		})
	}
}

type patterns []*regexp.Regexp

func (ps *patterns) take(s string) bool {
	for i, p := range *ps {
		if p.MatchString(s) {
			*ps = append((*ps)[:i], (*ps)[i+1:]...)
			return true
		}
	}
	return false
}

var quoted = regexp.MustCompile(`"([^"]*)"`)

func wanted(t *testing.T, name string) patterns {
	t.Helper()
	var ps patterns
	if out, err := os.ReadFile(strings.TrimSuffix(name, ".yaml") + ".out"); err == nil {
		for line := range strings.Lines(string(out)) {
			ps = append(ps, regexp.MustCompile("^"+strings.TrimSpace(line)))
		}
		return ps
	}
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	number := 0
	for line := range strings.Lines(string(data)) {
		number++
		if _, comment, ok := strings.Cut(line, "# want "); ok {
			for _, m := range quoted.FindAllStringSubmatch(comment, -1) {
				ps = append(ps, regexp.MustCompile(fmt.Sprintf("^%d:%s", number, m[1])))
			}
		}
	}
	return ps
}

func TestFileTooLarge(t *testing.T) {
	set := fstest.MapFS{"big.yaml": {Data: make([]byte, 1<<20+1)}}
	got := Check(set)
	if len(got) != 1 || got[0].Rule != "size" {
		t.Errorf("got %v, want one problem of size", got)
	}
}

func TestDuplicateAcrossFiles(t *testing.T) {
	set := fstest.MapFS{
		"a.yaml": {Data: []byte("terms:\n- {id: x, name: x, source: memory, means: One.}\n")},
		"b.yaml": {Data: []byte("terms:\n- {id: x, name: x, source: memory, means: Two.}\n")},
	}
	got := Check(set)
	if len(got) != 1 || got[0].String() != `b.yaml:2:3: id "x" in terms is taken, first at a.yaml:2:3 [duplicate]` {
		t.Errorf("got %v", got)
	}
}

func TestEmptyFolder(t *testing.T) {
	if got := Check(fstest.MapFS{}); len(got) != 1 || got[0].Rule != "file" {
		t.Errorf("got %v, want one problem of the folder", got)
	}
	if got := Check(Folder("testdata/nowhere")); len(got) != 1 || got[0].Pos.File != "testdata/nowhere" {
		t.Errorf("got %v, want one problem of the folder", got)
	}
}

func TestDetail(t *testing.T) {
	p := Problem{Pos: Pos{File: "a.yaml", Line: 12, Column: 9}, Message: `unknown key "x"`, Rule: "key", Line: "é: 日本, x: 1", Mend: `write "y"`}
	want := "a.yaml:12:9: unknown key \"x\" [key]\n  12 | é: 日本, x: 1\n     |           ^\n  mend: write \"y\""
	if diff := cmp.Diff(want, p.Detail()); diff != "" {
		t.Error(diff)
	}
}

// A whole new method, and an entry replaced, by a shop's file and no code.
func TestOverlay(t *testing.T) {
	base, err := Load(os.DirFS("testdata/ok"), os.DirFS("testdata/overlay"))
	if err != nil {
		t.Fatal(err)
	}
	vinyl, ok := base.Method("cut-vinyl")
	if !ok || !vinyl.White.Is || vinyl.Source.Kind != Shop {
		t.Fatalf("method cut-vinyl: got %+v, %v", vinyl, ok)
	}
	r, ok := base.RecipeFor("cut-vinyl", "tee", map[string]int{"cotton": 100}, "")
	if !ok || r.ID != "cut-vinyl-cotton" || r.Press.Time.Is != 12 {
		t.Errorf("recipe: got %+v, %v", r, ok)
	}
	term, _ := base.Term("marrying")
	if len(base.Terms) != 1 || term.Means != "What we call gluing." {
		t.Errorf("term: got %+v among %d", term, len(base.Terms))
	}
}

// The same, over the files that are part of the program.
func TestOverlayBuiltin(t *testing.T) {
	if _, problems := loadBuiltin(); len(problems) > 0 {
		t.Skip("the built-in files have problems of their own; TestBuiltin shows them")
	}
	base, err := Load(Builtin(), os.DirFS("testdata/overlay"))
	if err != nil {
		t.Fatal(err)
	}
	if m, ok := base.Method("cut-vinyl"); !ok || m.Source.Kind != Shop {
		t.Errorf("got %+v, %v", m, ok)
	}
}

// Laying a shop's files over the packed base gives what laying them over the
// YAML gives, faults and their source lines included.
func TestOverlayPackedOrNot(t *testing.T) {
	base, problems := loadBuiltin()
	if len(problems) > 0 {
		t.Skip("the built-in files have problems of their own; TestBuiltin shows them")
	}
	ready := func() (*Base, error) { return unpack(string(pack(base, "")), "") }
	for _, dir := range []string{"testdata/overlay", "testdata/err"} {
		sets := []fs.FS{Builtin(), os.DirFS(dir)}
		plain, wantProblems := load(sets, nil)
		quick, gotProblems := load(sets, ready)
		if diff := cmp.Diff(wantProblems, gotProblems); diff != "" {
			t.Errorf("%s: problems: %s", dir, diff)
		}
		if diff := cmp.Diff(plain, quick); diff != "" {
			t.Errorf("%s: base: %s", dir, diff)
		}
	}
}

// A shop that lowers a ceiling learns which built-in recipe is now too hot.
func TestOverlayLowersCeiling(t *testing.T) {
	set := fstest.MapFS{"own.yaml": {Data: []byte("fibres:\n- {id: cotton, name: cotton, source: shop, ceiling: 120 C}\n")}}
	_, err := Load(Builtin(), set)
	var problems Problems
	if !errors.As(err, &problems) {
		t.Fatalf("got %v", err)
	}
	for _, p := range problems {
		if p.Rule == "ceiling" && p.Pos.File == "base/recipes.yaml" && strings.Contains(p.Line, "temperature") {
			return
		}
	}
	t.Errorf("got %v", err)
}

func TestBuiltin(t *testing.T) {
	_, problems := loadBuiltin()
	for _, p := range problems[:min(len(problems), 20)] {
		t.Error(p.Detail())
	}
	if len(problems) > 0 {
		t.Errorf("%d problems in all", len(problems))
	}
}

func FuzzRead(f *testing.F) {
	names, _ := filepath.Glob("testdata/*/*.yaml")
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		base, err := Load(fstest.MapFS{"x.yaml": {Data: data}})
		if (base == nil) == (err == nil) {
			t.Fatalf("got base %v and error %v", base, err)
		}
		if err != nil && err.Error() == "" {
			t.Fatal("an error without words")
		}
	})
}

func BenchmarkLoadYAML(b *testing.B) {
	for b.Loop() {
		if _, problems := load([]fs.FS{Builtin()}, nil); len(problems) > 0 {
			b.Skip("the built-in files have problems")
		}
	}
}
