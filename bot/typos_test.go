package bot_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"presshand/bot/bottest/questions"
)

const (
	typoSeed  = 7
	typoCases = 200
	mostFall  = 0.06 // of right answers, by one typo each
)

// TestTypos gives one content word of each of 200 questions a random edit, and
// another the misspelling that people make of it, and counts how many more
// answers are not right. Misspellings: the lists of Wikipedia's editors and of
// GNU Aspell, as prepared by R. Mitton.
func TestTypos(t *testing.T) {
	house, _ := open(t)
	asked := answers(t)
	rng := rand.New(rand.NewPCG(typoSeed, typoSeed))
	rng.Shuffle(len(asked), func(i, j int) { asked[i], asked[j] = asked[j], asked[i] })

	edited := func(c questions.Case) (string, bool) { return questions.Mistype(rng, c.Ask) }
	fallOf(t, house, "one random edit", asked, edited)

	root, err := questions.Root()
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(root, "..", "shared", "reference", "misspellings")
	if _, err := os.Stat(folder); err != nil {
		t.Skipf("no reference data at %s: put the misspelling lists there to run the second half", folder)
	}
	lists, err := questions.ReadMisspellings(folder)
	if err != nil {
		t.Fatal(err)
	}
	misspelt := func(c questions.Case) (string, bool) { return lists.Misspell(rng, c.Ask) }
	fallOf(t, house, "listed misspelling", asked, misspelt)
}

// fallOf asks up to typoCases questions, fewer with the race detector, as they
// stand and as spoilt, and prints the fall in right answers.
func fallOf(t *testing.T, house *questions.House, name string, answers []answer, spoil func(questions.Case) (string, bool)) {
	t.Helper()
	asked, before, after := 0, 0, 0
	var lost []string
	for _, a := range answers {
		c := a.Case
		if asked == typoCases/questions.Every {
			break
		}
		spoilt := c
		text, ok := spoil(c)
		if !ok {
			continue
		}
		spoilt.Ask = text
		asked++
		was := questions.Judge(c, a.Result)
		is := questions.Judge(spoilt, house.Ask(spoilt))
		if was.Kind == questions.Right {
			before++
		}
		if is.Kind == questions.Right {
			after++
		}
		if was.Kind == questions.Right && is.Kind != questions.Right && c.Set == questions.Tune {
			lost = append(lost, questions.Line(spoilt, is))
		}
	}
	if asked == 0 {
		t.Logf("%s: no question holds such a word", name)
		return
	}
	fall := float64(before-after) / float64(asked)
	t.Logf("%s: %d questions, right %d before, %d after: a fall of %.1f points\nlost, of the tune set:\n%s",
		name, asked, before, after, 100*fall, strings.Join(lost, "\n"))
	if !notJudged(t) && fall > mostFall {
		t.Errorf("%s: right answers fall by %.1f points, more than %.0f", name, 100*fall, 100*mostFall)
	}
}
