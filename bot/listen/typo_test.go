package listen

import (
	"encoding/csv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// Typos as the corpora and the edit models have them: one content word of four
// letters or more of each message is given one random edit (insertion,
// deletion, swap of neighbours, replacement; F. J. Damerau, Comm. ACM 7(3),
// 1964, found these four behind four fifths of slips), with a fixed seed.

// fallAllowed is how many orders in a hundred may be read otherwise for it. An
// order counts as lost where any part of it differs. Over five seeds 5 to 10
// in a hundred were lost: mostly to edits that make another real word ("24
// back tees"), and to second slips in a word that had one.
const fallAllowed = 10

func TestOrdersWithSlips(t *testing.T) {
	env, reader := orderEnv(t)
	random := rand.New(rand.NewPCG(1964, 3))
	cases := append(orderCases(t, "testdata/orders_tune.txt"), orderCases(t, "testdata/orders_check.txt")...)
	right, still := 0, 0
	for _, c := range cases {
		if sketch(ReadOrder(reader.Read(c.text, env.Now), env)) != c.want {
			continue
		}
		bad, ok := slip(random, c.text)
		if !ok {
			continue
		}
		right++
		if got := sketch(ReadOrder(reader.Read(bad, env.Now), env)); got == c.want {
			still++
		} else {
			t.Logf("%s\n got %s\nwant %s", bad, got, c.want)
		}
	}
	t.Logf("%d of %d orders still read exactly with one slip", still, right)
	if right-still > fallAllowed*right/100 {
		t.Errorf("%d of %d orders are lost to one slip, want at most %d %%", right-still, right, fallAllowed)
	}
}

// slip gives one word of text, of four small letters or more, one random edit.
// A name written with a capital is a customer's: nobody could know it wrong.
func slip(random *rand.Rand, text string) (string, bool) {
	words := strings.Split(text, " ")
	var able []int
	for i, w := range words {
		if len(w) >= 4 && strings.Trim(w, "abcdefghijklmnopqrstuvwxyz") == "" && (i == 0 || words[i-1] != "for") {
			able = append(able, i)
		}
	}
	if len(able) == 0 {
		return "", false
	}
	i := able[random.IntN(len(able))]
	words[i] = edit(random, words[i])
	return strings.Join(words, " "), true
}

func edit(random *rand.Rand, w string) string {
	letter := string(rune('a' + random.IntN(26)))
	k := random.IntN(len(w))
	switch random.IntN(4) {
	case 0:
		return w[:k] + letter + w[k:]
	case 1:
		return w[:k] + w[k+1:]
	case 2:
		k = random.IntN(len(w) - 1)
		return w[:k] + w[k+1:k+2] + w[k:k+1] + w[k+2:]
	}
	return w[:k] + letter + w[k+1:]
}

// Misspellings made by people, not by a model: of the words that the corpora
// and the base share, the reader must mend at least this share to the very
// word meant. Most of the rest are small words two slips away in five letters
// ("ahev"), which are left alone, or stand as near to another word ("fiel").
// Source: misspellings of Wikipedia and of GNU Aspell as prepared by R. Mitton
// (Birkbeck, University of London).
const leastMended = 0.7

func TestCommonMisspellings(t *testing.T) {
	env, reader := orderEnv(t)
	seen, mended := 0, 0
	for _, file := range []string{"wikipedia.csv", "aspell.csv"} {
		f, err := os.Open(filepath.Join("..", "..", "..", "shared", "reference", "misspellings", file))
		if err != nil {
			t.Skip("the misspellings are not at hand: ", err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[1:] {
			right, wrong := strings.ToLower(row[0]), strings.ToLower(row[1])
			if strings.ContainsAny(right+wrong, "_'-") || utf8.RuneCountInString(wrong) < 4 {
				continue
			}
			known := reader.Read(right, env.Now).Tokens
			got := reader.Read(wrong, env.Now).Tokens
			if len(known) != 1 || !known[0].Known || known[0].Score < 1 || len(got) != 1 || got[0].Known && got[0].Score == 1 {
				continue // not a word of this trade, or a word itself
			}
			seen++
			if got[0].Word == right {
				mended++
			} else {
				t.Logf("%s for %s was read as %s", wrong, right, got[0].Word)
			}
		}
	}
	t.Logf("%d of %d misspellings mended", mended, seen)
	if float64(mended) < leastMended*float64(seen) {
		t.Errorf("%d of %d misspellings mended, want at least %.0f %%", mended, seen, 100*leastMended)
	}
}
