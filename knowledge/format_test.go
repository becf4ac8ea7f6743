package knowledge

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"presshand/knowledge/document"
)

// Every section and key is explained in FORMAT.md, and its whole examples load
// but for ids of entries they don't hold.
func TestFormat(t *testing.T) {
	data, err := os.ReadFile("FORMAT.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for section, kind := range sectionTypes() {
		_, rest, ok := strings.Cut(text, "### `"+section+"`")
		if !ok {
			t.Errorf("no section %q", section)
			continue
		}
		part, _, _ := strings.Cut(rest, "\n### ")
		for i := range kind.NumField() {
			if key := document.Key(kind.Field(i)); key != "-" && !kind.Field(i).Anonymous && !strings.Contains(part, "`"+key+"`") {
				t.Errorf("section %q does not explain %q", section, key)
			}
		}
	}
	for i, block := range regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(text, -1) {
		if !regexp.MustCompile(`(?m)^[a-z_]+:$`).MatchString(block[1]) {
			continue // a piece of an entry
		}
		for _, p := range Check(fstest.MapFS{"example.yaml": {Data: []byte(block[1])}}) {
			if p.Rule != "dangling" {
				t.Errorf("example %d: %s", i+1, p.Detail())
			}
		}
	}
}
