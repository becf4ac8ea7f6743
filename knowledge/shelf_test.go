package knowledge

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/planner/unit"
)

func fahrenheit(f float64) Value {
	return Value{Dimension: Temperature, Is: unit.Fahrenheit(f).C(), Unit: "F"}
}

func seconds(s float64) Value { return Value{Dimension: Time, Is: s, Unit: "s"} }

// mugRule is "for our mugs: 390 F 200 s light".
func mugRule() ShopRule {
	return ShopRule{
		By: "T1/U0WNER", At: "2026-11-25T10:00:00-05:00", Said: `for our "mugs": 390 F # 200 s`, Why: "{the: glaze}",
		Recipes: []string{"sublimation-mug"}, Blanks: []string{"mug"},
		Press: DwellChange{Temperature: fahrenheit(390), Time: seconds(200), Pressure: Word{Is: "light"}},
	}
}

func add(t *testing.T, s *Shelf, r ShopRule) (*ShopRule, *Base) {
	t.Helper()
	added, base, err := s.Add(r)
	if err != nil {
		t.Fatal(err)
	}
	return added, base
}

func pressedBy(t *testing.T, base *Base, method, blank string, fibre map[string]int) *Recipe {
	t.Helper()
	r, ok := base.RecipeFor(method, blank, fibre, "")
	if !ok {
		t.Fatalf("no recipe for %s on %s %v", method, blank, fibre)
	}
	return r
}

// A rule is read back as it was given, from a file of its own, by whoever opens
// the folder anew; it holds for its blank and for no other.
func TestShelfAdds(t *testing.T) {
	dir := t.TempDir()
	shelf := NewShelf(dir)
	if _, err := shelf.Base(); err != nil {
		t.Fatalf("a new, empty folder: %v", err)
	}
	added, _ := add(t, shelf, mugRule())
	base, err := NewShelf(dir).Base()
	if err != nil {
		t.Fatal(err)
	}
	got, ok := base.ShopRule("shop-rule-1")
	if !ok {
		t.Fatal("the rule is gone after a restart")
	}
	if diff := cmp.Diff(added, got); diff != "" {
		t.Errorf("read anew it differs: %s", diff)
	}
	want := mugRule()
	if got.Said != want.Said || got.Why != want.Why || got.By != want.By || got.At != want.At || got.Source.Kind != Shop {
		t.Errorf("read back as %+v", got)
	}
	mug := pressedBy(t, base, "sublimation", "mug", nil)
	if f := mug.Press.Temperature.Temperature().F(); f < 389.99 || f > 390.01 || mug.Press.Time.Is != 200 || mug.Press.Pressure.Is != "light" {
		t.Errorf("a mug is pressed at %v F, %v, %v", f, mug.Press.Time.Is, mug.Press.Pressure.Is)
	}
	if mug.Press.Time.Source.Kind != Shop || mug.Press.Time.Ranged {
		t.Errorf("time is %+v, want the shop's, without a range", mug.Press.Time)
	}
	old, _ := Load(Builtin())
	for _, blank := range []string{"mug-15", "travel-mug"} {
		was, is := pressedBy(t, old, "sublimation", blank, nil), pressedBy(t, base, "sublimation", blank, nil)
		if diff := cmp.Diff(was, is); diff != "" {
			t.Errorf("%s changed too: %s", blank, diff)
		}
	}
}

// Whatever somebody says, the file holds it and nothing else of it counts.
func TestShelfHostileWords(t *testing.T) {
	for _, said := range []string{
		"x\n- id: shop-rule-2\n  recipes: [two-step-any]", "\u202e<!channel> <@U1>", "null", "~", "*alias", "&anchor !!tag", "- a: {b}", "\x00\x07\u200b", "…\u2028\u0085", "'\"\\", strings.Repeat("[{", 500), "# no comment", " lead and trail ",
	} {
		shelf := NewShelf(t.TempDir())
		r := mugRule()
		r.Said, r.Why, r.By = said, said, said
		added, base, err := shelf.Add(r)
		if err != nil {
			t.Errorf("%q: %v", said, err)
			continue
		}
		if added.Said != strings.TrimSpace(said) || len(base.ShopRules) != 1 {
			t.Errorf("%q is read back as %q, with %d rules", said, added.Said, len(base.ShopRules))
		}
	}
}

func TestShelfUndo(t *testing.T) {
	dir := t.TempDir()
	shelf := NewShelf(dir)
	first, base := add(t, shelf, mugRule())
	press := func() float64 { return pressedBy(t, base, "sublimation", "mug", nil).Press.Time.Is }
	undo := func(id, at string) *ShopRule {
		var r *ShopRule
		r, base = add(t, shelf, ShopRule{By: "T1/U0WNER", At: at, Said: "undo that", Undoes: id})
		return r
	}
	second := undo(first.ID, "2026-11-25T10:01:00-05:00")
	if press() != 210 { // sublimation-mug of recipes.yaml, from memory
		t.Errorf("taken back, a mug is pressed %v s", press())
	}
	if by, ok := base.UndoneBy(first.ID); !ok || by.ID != second.ID {
		t.Errorf("taken back by %v, %v", by, ok)
	}
	undo(second.ID, "2026-11-25T10:02:00-05:00")
	if press() != 200 {
		t.Errorf("the taking back taken back, a mug is pressed %v s", press())
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	if len(names) != 3 {
		t.Errorf("files %v: nothing is deleted, so there are three", names)
	}
}

// What is general gives way to what is for a blank, whichever came later; among
// equals the later rule holds, and the one before it again when that is undone.
func TestShelfLaterRules(t *testing.T) {
	shelf := NewShelf(t.TempDir())
	rule := func(at string, blanks []string, s float64) ShopRule {
		return ShopRule{By: "o", At: at, Said: "x", Recipes: []string{"two-step-cotton"}, Blanks: blanks, Press: DwellChange{Time: seconds(s)}}
	}
	cotton := map[string]int{"cotton": 100}
	add(t, shelf, rule("2026-11-25T10:00:00Z", []string{"tee"}, 21))
	add(t, shelf, rule("2026-11-25T10:01:00Z", nil, 22))
	third, base := add(t, shelf, rule("2026-11-25T10:02:00Z", []string{"tee"}, 23))
	if got := pressedBy(t, base, "two-step-transfer", "tee", cotton).Press.Time.Is; got != 23 {
		t.Errorf("a tee is pressed %v s, want 23", got)
	}
	if got := pressedBy(t, base, "two-step-transfer", "apron", cotton).Press.Time.Is; got != 22 {
		t.Errorf("an apron is pressed %v s, want 22", got)
	}
	_, base = add(t, shelf, ShopRule{By: "o", At: "2026-11-25T10:03:00Z", Said: "undo", Undoes: third.ID})
	if got := pressedBy(t, base, "two-step-transfer", "tee", cotton).Press.Time.Is; got != 21 {
		t.Errorf("after the undo a tee is pressed %v s, want 21", got)
	}
}

// A rule for a method as a whole reaches the prose about it.
func TestShelfRestates(t *testing.T) {
	_, base := add(t, NewShelf(t.TempDir()), ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "our peel wait is 8 min",
		Recipes: []string{"two-step-any"}, CoolWait: Value{Dimension: Time, Is: 480, Unit: "min"}})
	m, _ := base.Method("two-step-transfer")
	p, _ := base.Procedure("two-step-steps")
	g, _ := base.Guide("peel-early")
	f, _ := base.Fault("edges-lift")
	for name, h := range map[string]*Head{"method": &m.Head, "procedure": &p.Head, "guide": &g.Head, "fault": &f.Head} {
		if v := h.Values["cool_wait"]; v.Is != 480 || v.Source.Kind != Shop {
			t.Errorf("%s: cool_wait is %+v", name, v)
		}
	}
}

// A rule that contradicts a ceiling, a recipe, a caution or another rule is
// refused with its place and a mend, and nothing is written.
func TestShelfRefuses(t *testing.T) {
	change := func(adjust func(*ShopRule)) ShopRule {
		r := mugRule()
		adjust(&r)
		return r
	}
	rows := []struct {
		name string
		rule ShopRule
		want string // rule of the problem
		says string
	}{
		// ceiling of polyester in fibres.yaml, from memory: 205 C, 401 F
		{"hotter than the fibre stands", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Recipes: []string{"two-step-polyester"}, Press: DwellChange{Temperature: fahrenheit(420)}}, "ceiling", "polyester"},
		{"hotter than a fibre that others have too", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Recipes: []string{"two-step-any"}, Blanks: []string{"jersey"}, Prepress: DwellChange{Temperature: fahrenheit(420)}}, "ceiling", "polyester"},
		// ceiling of cotton in fibres.yaml, from memory: 200 C, 392 F; cotton was pressed like the general recipe
		{"hotter than cloth of that setting stands, no fibre named", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Recipes: []string{"two-step-any"}, Blanks: []string{"tee"}, Press: DwellChange{Temperature: fahrenheit(400)}}, "ceiling", "cotton"},
		{"a declined blank", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Recipes: []string{"two-step-any"}, Blanks: []string{"childrens-sleepwear"}, Press: DwellChange{Time: seconds(20)}}, "caution", "declined"},
		{"a step the recipe has not", change(func(r *ShopRule) { r.Marry = DwellChange{Time: seconds(90)} }), "contradiction", "has none"},
		{"a wait the recipe has not", change(func(r *ShopRule) { r.CoolWait = seconds(480) }), "contradiction", "has none"},
		{"nothing", change(func(r *ShopRule) { r.Press = DwellChange{} }), "missing", "changes nothing"},
		{"no recipe", change(func(r *ShopRule) { r.Recipes = nil }), "missing", "names no recipe"},
		{"an unknown recipe", change(func(r *ShopRule) { r.Recipes = []string{"sublimation-mugg"} }), "dangling", "sublimation-mugg"},
		{"an unknown pressure", change(func(r *ShopRule) { r.Press.Pressure.Is = "hard" }), "word", "hard"},
		{"no time", change(func(r *ShopRule) { r.At = "yesterday" }), "form", "yesterday"},
		{"who is not said", change(func(r *ShopRule) { r.By = "" }), "missing", "by"},
		{"an undo of nothing", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Undoes: "shop-rule-9"}, "dangling", "shop-rule-9"},
		{"an undo of itself", ShopRule{By: "o", At: "2026-11-25T10:00:00Z", Said: "x", Undoes: "shop-rule-1"}, "contradiction", "no earlier rule"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			dir := t.TempDir()
			shelf := NewShelf(dir)
			_, _, err := shelf.Add(row.rule)
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("err = %v, want problems", err)
			}
			found := false
			for _, p := range problems {
				if p.Rule == row.want && strings.Contains(p.Message, row.says) {
					found = true
					if p.Pos.Line == 0 || !strings.HasSuffix(p.Pos.File, "shop-rule-0001.yaml") || p.Mend == "" {
						t.Errorf("place or mend is missing: %s", p.Detail())
					}
				}
			}
			if !found {
				t.Errorf("refused with\n%v\nwant rule %s that says %q", err, row.want, row.says)
			}
			if names, _ := os.ReadDir(dir); len(names) > 0 {
				t.Errorf("left in the folder: %v", names)
			}
			if tried := shelf.Try(row.rule); tried == nil {
				t.Error("Try takes it")
			}
		})
	}
}

func TestShelfFolderFaults(t *testing.T) {
	full := NewShelf(t.TempDir())
	full.rename = func(string, string) error { return &os.LinkError{Op: "rename", Err: syscall.ENOSPC} }
	readOnly := NewShelf(t.TempDir())
	readOnly.rename = func(string, string) error { return &os.LinkError{Op: "rename", Err: syscall.EROFS} }
	denied := NewShelf(t.TempDir())
	denied.rename = func(string, string) error { return &os.LinkError{Op: "rename", Err: fs.ErrPermission} }
	gone := NewShelf(filepath.Join(t.TempDir(), "gone"))
	rows := []struct {
		shelf *Shelf
		want  string
	}{{full, "full"}, {readOnly, "read-only"}, {denied, "read-only"}, {gone, "is gone"}, {NewShelf(""), "--knowledge"}}
	for _, row := range rows {
		_, _, err := row.shelf.Add(mugRule())
		var fault *FolderError
		if !errors.As(err, &fault) || !strings.Contains(fault.Plain(), row.want) {
			t.Errorf("err = %v, want one that says %q", err, row.want)
		}
		if names, _ := os.ReadDir(row.shelf.dir); row.shelf.dir != "" && len(names) > 0 {
			t.Errorf("%s: left in the folder: %v", row.want, names)
		}
	}
	for dir, ok := range map[string]bool{t.TempDir(): true, filepath.Join(t.TempDir(), "gone"): false, "": false} {
		var fault *FolderError
		if err := NewShelf(dir).Writable(); (err == nil) != ok || err != nil && !errors.As(err, &fault) {
			t.Errorf("folder %q is writable: %v", dir, err)
		}
		if names, _ := os.ReadDir(dir); ok && len(names) > 0 {
			t.Errorf("asking left %v", names)
		}
	}
	if os.Getuid() != 0 { // root may write anywhere
		dir := t.TempDir()
		if err := os.Chmod(dir, 0o500); err != nil {
			t.Fatal(err)
		}
		_, _, err := NewShelf(dir).Add(mugRule())
		var fault *FolderError
		if !errors.As(err, &fault) || !strings.Contains(fault.Plain(), "read-only") {
			t.Errorf("err = %v in a folder without the right to write", err)
		}
	}
}

// Killed between writing and naming, a rule is not there at all, the folder
// loads, and the next rule takes another number.
func TestShelfKilledBeforeTheName(t *testing.T) {
	if dir := os.Getenv("PRESSHAND_TEST_KILL"); dir != "" {
		shelf := NewShelf(dir)
		shelf.rename = func(string, string) error {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			time.Sleep(time.Minute)
			return nil
		}
		_, _, err := shelf.Add(mugRule())
		t.Fatalf("alive after the kill, %v", err)
	}
	dir := t.TempDir()
	add(t, NewShelf(dir), mugRule())
	child := exec.Command(os.Args[0], "-test.run=^TestShelfKilledBeforeTheName$")
	child.Env = append(os.Environ(), "PRESSHAND_TEST_KILL="+dir)
	out, err := child.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ProcessState.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		t.Fatalf("the child ended with %v\n%s", err, out)
	}
	half, err := os.ReadFile(filepath.Join(dir, ".shop-rule-0002.yaml.new"))
	if err != nil || !strings.Contains(string(half), "sublimation-mug") {
		t.Fatalf("the kill came before the rule was written (%v), so this test sees nothing", err)
	}
	shelf := NewShelf(dir)
	base, err := shelf.Base()
	if err != nil || len(base.ShopRules) != 1 {
		t.Fatalf("after the kill: %v", err)
	}
	if next, _ := add(t, shelf, mugRule()); next.ID != "shop-rule-3" {
		t.Errorf("the next rule is %s, want shop-rule-3", next.ID)
	}
}

// Rules added by several programs at the same time all stay, each with a
// number of its own.
func TestShelfTogether(t *testing.T) {
	dir := t.TempDir()
	const each, programs = 4, 3
	var all sync.WaitGroup
	for range programs {
		shelf := NewShelf(dir) // a lock of its own, as another program has
		all.Go(func() {
			for range each {
				if _, _, err := shelf.Add(mugRule()); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	base, err := NewShelf(dir).Base()
	if err != nil {
		t.Fatal(err)
	}
	if len(base.ShopRules) != each*programs {
		t.Errorf("%d rules, want %d", len(base.ShopRules), each*programs)
	}
}
