package questions

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// leastWord is the shortest word, in letters, that gets a typo.
const leastWord = 4

var word = regexp.MustCompile(`[A-Za-z]+`)

// light are words of four letters and more that carry no content; a typo in
// one of them would test nothing.
var light = strings.Fields(`about after again also another because been before does doesnt doing dont
	from have having here into just like more most much must need only other over please really same
	should shall some someone such than that thats their them then there these they theyre thing this
	those through until very want wants were what whats when where which while whos will with without
	would your youre`)

// content returns the places of a text's content words.
func content(text string) [][]int {
	return slices.DeleteFunc(word.FindAllStringIndex(text, -1), func(at []int) bool {
		return at[1]-at[0] < leastWord || slices.Contains(light, strings.ToLower(text[at[0]:at[1]])) ||
			touches(text, at)
	})
}

// touches reports a word that is part of a figure or of a longer name:
// "10inch", or a word with an accent.
func touches(text string, at []int) bool {
	outside := func(i int) bool { return i >= 0 && i < len(text) && (isDigit(text[i]) || text[i] >= 0x80) }
	return outside(at[0]-1) || outside(at[1])
}

// Mistype gives one random content word of a text one random edit: a letter
// inserted, deleted, replaced, or swapped with the next. It reports false
// where the text holds no such word.
func Mistype(rng *rand.Rand, text string) (string, bool) {
	words := content(text)
	if len(words) == 0 {
		return text, false
	}
	at := words[rng.IntN(len(words))]
	w := []byte(text[at[0]:at[1]])
	letter := byte('a' + rng.IntN(26))
	switch rng.IntN(4) {
	case 0:
		w = slices.Insert(w, rng.IntN(len(w)+1), letter)
	case 1:
		i := rng.IntN(len(w))
		w = slices.Delete(w, i, i+1)
	case 2:
		i := rng.IntN(len(w))
		if w[i] == letter {
			letter = 'a' + (letter-'a'+1)%26
		}
		w[i] = letter
	default:
		i := rng.IntN(len(w) - 1)
		w[i], w[i+1] = w[i+1], w[i]
	}
	return text[:at[0]] + string(w) + text[at[1]:], true
}

// Misspellings maps a word to how people misspell it.
type Misspellings map[string][]string

// ReadMisspellings reads the lists of a folder: CSV with correct,misspelling,
// an underscore for a blank.
func ReadMisspellings(folder string) (Misspellings, error) {
	m := Misspellings{}
	for _, name := range []string{"aspell.csv", "wikipedia.csv"} {
		f, err := os.Open(filepath.Join(folder, name))
		if err != nil {
			return nil, err
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for _, row := range rows[1:] {
			good := strings.ToLower(row[0])
			m[good] = append(m[good], strings.ReplaceAll(row[1], "_", " "))
		}
	}
	return m, nil
}

// Misspell writes one content word of a text as people misspell it; false
// where no word of it is listed.
func (m Misspellings) Misspell(rng *rand.Rand, text string) (string, bool) {
	listed := slices.DeleteFunc(content(text), func(at []int) bool {
		return len(m[strings.ToLower(text[at[0]:at[1]])]) == 0
	})
	if len(listed) == 0 {
		return text, false
	}
	at := listed[rng.IntN(len(listed))]
	ways := m[strings.ToLower(text[at[0]:at[1]])]
	return text[:at[0]] + ways[rng.IntN(len(ways))] + text[at[1]:], true
}
