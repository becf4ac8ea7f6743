// Command fulltext asks the questions that expect one knowledge entry of the
// bot and of a general-purpose full-text engine, and prints how often each
// puts the expected entry first.
//
// One command, from this folder:
//
//	go run .
//
// Both have the same entries: names, the phrases that point to an entry, and
// texts. The engine is asked in several ways, all printed, with names and
// phrases weighing more than texts; it sees the question alone. The bot sees
// the conversation too, so questions with earlier messages are left out. It is
// a module of its own so that the product does not carry the engine.
package main

import (
	"fmt"
	"log"
	"slices"

	"presshand/bot/bottest/questions"
)

func main() {
	log.SetFlags(0)
	if err := run(); err != nil {
		log.Fatal(err)
	}
}

func run() error {
	root, err := questions.Root()
	if err != nil {
		return err
	}
	all, err := questions.Load(root)
	if err != nil {
		return err
	}
	cases := slices.DeleteFunc(all, func(c questions.Case) bool { return len(c.Entry) == 0 || len(c.After) > 0 })
	house, err := questions.Open()
	if err != nil {
		return err
	}
	documents := documentsOf(house.Base)
	fmt.Printf("%d questions that expect one entry, %d entries\n", len(cases), len(documents))
	fmt.Printf("%-42s %12s %12s\n", "expected entry first", questions.Tune, questions.Check)
	report("presshand", cases, func(c questions.Case) bool { return questions.Found(c, house.Ask(c)) })
	for _, way := range ways {
		engine, err := open(way, documents)
		if err != nil {
			return err
		}
		var failed error
		report("full text, "+way.name, cases, func(c questions.Case) bool {
			first, err := engine.first(c.Ask)
			if err != nil {
				failed = fmt.Errorf("%q: %w", c.Ask, err)
			}
			return slices.Contains(c.Entry, first)
		})
		if failed != nil {
			return failed
		}
	}
	return nil
}

// report prints one engine's rate on each set.
func report(name string, cases []questions.Case, right func(questions.Case) bool) {
	hits, asked := map[string]int{}, map[string]int{}
	for _, c := range cases {
		asked[c.Set]++
		if right(c) {
			hits[c.Set]++
		}
	}
	rate := func(set string) string {
		return fmt.Sprintf("%d/%d %.0f %%", hits[set], asked[set], 100*float64(hits[set])/float64(max(1, asked[set])))
	}
	fmt.Printf("%-42s %12s %12s\n", name, rate(questions.Tune), rate(questions.Check))
}
