package main

import (
	"encoding/json"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// An arrow says what a room may import of this module, and why no more. The
// first rule whose prefix fits counts. Don't widen a rule to get a build
// through: the rooms are the design.
type arrow struct {
	from string
	may  []string // prefixes
	why  string
}

func arrows() []arrow {
	return []arrow{
		{"presshand/planner/unit", nil, "quantities stand by themselves"},
		{"presshand/planner/", []string{"presshand/planner"}, "planners are pure: no knowledge, no conversation"},
		{"presshand/planner", []string{"presshand/planner/unit"}, "the planners' shared words rest on quantities"},
		{"presshand/knowledge/document", nil, "the YAML reader knows no trade"},
		{"presshand/knowledge", []string{"presshand/knowledge", "presshand/planner/unit"}, "knowledge looks up and computes nothing"},
		{"presshand/bot/reply", []string{"presshand/planner"}, "a reply knows no face and no trade"},
		{"presshand/bot/listen", []string{"presshand/bot/listen", "presshand/knowledge", "presshand/planner"}, "listening knows words, not answers"},
		{"presshand/bot/answer", []string{"presshand/bot/listen", "presshand/bot/reply", "presshand/knowledge", "presshand/planner"}, "answers know no face and no turn"},
		{"presshand/bot/rephrase", []string{"presshand/bot/reply", "presshand/knowledge"}, "rewording knows replies and words, not answers"},
		{"presshand/bot/terminal", []string{"presshand/bot/reply"}, "edges never meet, and know replies only"},
		{"presshand/bot/workspace", []string{"presshand/bot/workspace", "presshand/bot/reply"}, "edges never meet, and know replies only"},
		{"presshand/bot/bottest", []string{"presshand"}, "for tests only"},
		{"presshand/bot/store", []string{"presshand/bot$", "presshand/bot/listen", "presshand/bot/answer", "presshand/bot/reply", "presshand/bot/rephrase", "presshand/planner"}, "the store keeps what the turn and the board hand it; it knows no face"},
		{"presshand/bot", []string{"presshand/bot/listen", "presshand/bot/answer", "presshand/bot/reply", "presshand/bot/rephrase", "presshand/knowledge", "presshand/planner"}, "the turn knows no face"},
		{"presshand/cmd/", []string{"presshand"}, "commands wire everything"},
	}
}

// Third-party packages that only one room may know.
func keepers() map[string]string {
	return map[string]string{
		"github.com/slack-go/slack":         "presshand/bot/workspace",
		"github.com/sashabaranov/go-openai": "presshand/bot/rephrase",
		"modernc.org/sqlite":                "presshand/bot/store",
		"github.com/alecthomas/kong":        "presshand/cmd/presshand",
	}
}

type pkg struct {
	ImportPath string
	Imports    []string
}

func TestArrows(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "presshand/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	rules := arrows()
	used := make([]bool, len(rules))
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(rules, func(a arrow) bool { return covers(a.from, p.ImportPath) })
		if i < 0 {
			t.Errorf("%s has no rule: add one that says what it may import, and why", p.ImportPath)
			continue
		}
		used[i] = true
		test := covers("presshand/bot/bottest", p.ImportPath)
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "presshand/") && !slices.ContainsFunc(rules[i].may, func(may string) bool { return covers(may, imp) }) {
				t.Errorf("%s imports %s: %s", p.ImportPath, imp, rules[i].why)
			}
			if !test && covers("presshand/bot/bottest", imp) {
				t.Errorf("%s imports %s, which is for tests only", p.ImportPath, imp)
			}
			if !test && imp == "testing" {
				t.Errorf("%s imports testing: production code must not", p.ImportPath)
			}
			for lib, keeper := range keepers() {
				if covers(lib, imp) && !covers(keeper, p.ImportPath) && !test {
					t.Errorf("%s imports %s, which only %s may know", p.ImportPath, imp, keeper)
				}
			}
		}
	}
	for i, a := range rules {
		if !used[i] {
			t.Errorf("no package is under the rule for %s: take it out, or mend its name", a.from)
		}
	}
}

// covers reports whether path is prefix or lies below it; a prefix that ends
// in a slash covers only what lies below, one that ends in $ only itself.
func covers(prefix, path string) bool {
	if only, ok := strings.CutSuffix(prefix, "$"); ok {
		return path == only
	}
	if strings.HasSuffix(prefix, "/") {
		return strings.HasPrefix(path, prefix)
	}
	return path == prefix || strings.HasPrefix(path, prefix+"/")
}

func TestCovers(t *testing.T) {
	rows := []struct {
		prefix, path string
		want         bool
	}{
		{"presshand/planner", "presshand/planner", true},
		{"presshand/planner", "presshand/planner/unit", true},
		{"presshand/planner", "presshand/planners", false},
		{"presshand/planner/", "presshand/planner", false},
		{"presshand/planner/", "presshand/planner/unit", true},
		{"presshand/bot$", "presshand/bot", true},
		{"presshand/bot$", "presshand/bot/workspace", false},
	}
	for _, r := range rows {
		if got := covers(r.prefix, r.path); got != r.want {
			t.Errorf("covers(%q, %q) = %v", r.prefix, r.path, got)
		}
	}
}
