package bot_test

import (
	"flag"
	"slices"
	"strings"
	"sync"
	"testing"

	"presshand/bot/bottest/questions"
)

var failures = flag.Bool("failures", false, "list the failures of the check set too")

// What the check set must reach. The files were written from trade knowledge
// by someone who did not mend the bot.
const (
	gate         = false // fail the test where a bound is missed
	mostWrong    = 0.05  // of all questions
	wrongNumbers = 0
	leastHeeded  = 0.97 // of the questions that must be declined
)

// TestQuestions asks every question of testdata/questions and prints how the
// answers went, by set and topic.
func TestQuestions(t *testing.T) {
	asked := answers(t)
	var tune, check questions.Tally
	var failed []string
	for _, a := range asked {
		c, v := a.Case, questions.Judge(a.Case, a.Result)
		tally := &tune
		if c.Set == questions.Check {
			tally = &check
		}
		tally.Add(c, v)
		if v.Kind != questions.Right && (c.Set == questions.Tune || *failures) {
			failed = append(failed, questions.Line(c, v))
		}
	}
	var b strings.Builder
	tune.Print(&b, questions.Tune)
	check.Print(&b, questions.Check)
	t.Logf("failures listed:\n%s\n\n%s", strings.Join(failed, "\n"), b.String())
	hold := t.Logf
	if gate {
		hold = t.Errorf
	}
	if got := 1 - check.Rate(); got > mostWrong {
		hold("%.1f %% of the check set is not right, more than %.1f %%", 100*got, 100*mostWrong)
	}
	if got := check.Count(questions.WrongNumber); got > wrongNumbers {
		hold("%d wrong numbers in the check set, more than %d", got, wrongNumbers)
	}
	if got := check.Heeded(); got < leastHeeded {
		hold("%.1f %% of what must be declined in the check set was, less than %.1f %%", 100*got, 100*leastHeeded)
	}
}

// An answer is a question of the files with what it came to.
type answer struct {
	Case   questions.Case
	Result questions.Result
}

// everyAnswer asks all questions once for all tests that look at the answers.
var everyAnswer = sync.OnceValues(func() ([]answer, error) {
	house, cases, err := ready()
	if err != nil {
		return nil, err
	}
	out := make([]answer, len(cases))
	for i, c := range cases {
		out[i] = answer{c, house.Ask(c)}
	}
	return out, nil
})

func answers(t testing.TB) []answer {
	t.Helper()
	out, err := everyAnswer()
	if err != nil {
		t.Fatal(err)
	}
	return slices.Clone(out)
}

// open sets up a house and reads the questions.
func open(t testing.TB) (*questions.House, []questions.Case) {
	t.Helper()
	house, cases, err := ready()
	if err != nil {
		t.Fatal(err)
	}
	return house, cases
}

func ready() (*questions.House, []questions.Case, error) {
	root, err := questions.Root()
	if err != nil {
		return nil, nil, err
	}
	cases, err := questions.Load(root)
	if err != nil {
		return nil, nil, err
	}
	house, err := questions.Open()
	return house, cases, err
}
