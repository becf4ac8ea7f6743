package price_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"

	"presshand/planner/price"
	"presshand/planner/unit"
)

func copies(t testing.TB, q int, spoilage, confidence float64) int {
	t.Helper()
	n, err := price.Copies(q, unit.Percent(spoilage), unit.Percent(confidence))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestCopiesTable(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "binomial.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Spoilage []float64
		Copies   map[int][][2]int
	}
	if err := yaml.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	cells := 0
	for q, row := range table.Copies {
		for i, want := range row {
			got := [2]int{copies(t, q, table.Spoilage[i], 95), copies(t, q, table.Spoilage[i], 99)}
			if got != want {
				t.Errorf("%d pieces at %v %%: make %v, want %v", q, table.Spoilage[i], got, want)
			}
			cells += 2
		}
	}
	if cells != 156 {
		t.Errorf("the table holds %d figures, want 156", cells)
	}
}

// Close calls, computed exactly from the definition: the wanted chance itself
// is accepted, a chance that merely rounds to it is not.
func TestCopiesCloseCalls(t *testing.T) {
	for _, row := range []struct {
		name       string
		q          int
		spoilage   float64
		confidence float64
		want       int
	}{
		{"0.95 exactly is enough", 1, 5, 95, 1},
		{"0.9025 exactly is enough for two", 2, 5, 90.25, 2},
		{"0.949971 rounds to 0.9500 but is refused", 144, 5, 95, 157},
		{"0.989989 rounds to 0.9900 but is refused", 200, 2, 99, 210},
		{"0.9509 is just accepted", 25, 5, 95, 28},
		{"nothing spoils", 24, 0, 99, 24},
		{"nothing ordered", 0, 5, 95, 0},
		{"any chance will do", 24, 5, 0, 24},
		{"half spoil", 1, 50, 95, 5}, // 1 - 0.5^5 = 0.96875, 1 - 0.5^4 = 0.9375
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := copies(t, row.q, row.spoilage, row.confidence); got != row.want {
				t.Errorf("make %d, want %d", got, row.want)
			}
		})
	}
}

func TestCopiesRefuses(t *testing.T) {
	for _, row := range []struct {
		name                 string
		q                    int
		spoilage, confidence unit.Share
	}{
		{"negative pieces", -1, 0.03, 0.95},
		{"too many pieces", price.MaxPieces + 1, 0.03, 0.95},
		{"negative spoilage", 1, -0.01, 0.95},
		{"more than half spoils", 1, 0.51, 0.95},
		{"no number", 1, unit.Share(math.NaN()), 0.95},
		{"certainty", 1, 0.03, 1},
		{"negative chance", 1, 0.03, -0.1},
	} {
		t.Run(row.name, func(t *testing.T) {
			if n, err := price.Copies(row.q, row.spoilage, row.confidence); err == nil {
				t.Errorf("gave %d, want an error", n)
			}
		})
	}
}

// ChanceEnough against published binomial exercises.
func TestChanceEnough(t *testing.T) {
	for _, row := range []struct {
		source    string
		got, want float64
		within    float64
	}{
		// University question bank (CSE QB unit 4): n = 10, p = 0.1 defective.
		{"P(none of 10)", price.ChanceEnough(10, 10, 0.1), 0.3487, 5e-5},
		{"P(one of 10)", price.ChanceEnough(10, 9, 0.1) - price.ChanceEnough(10, 10, 0.1), 0.3874, 5e-5},
		{"P(at most 2 of 10)", price.ChanceEnough(10, 8, 0.1), 0.9298, 5e-5},
		// The same: n = 4, p = 0.2.
		{"P(none of 4)", price.ChanceEnough(4, 4, 0.2), 0.4096, 5e-5},
		{"P(one of 4)", price.ChanceEnough(4, 3, 0.2) - price.ChanceEnough(4, 4, 0.2), 0.4096, 5e-5},
		{"P(at most 2 of 4)", price.ChanceEnough(4, 2, 0.2), 0.9728, 5e-5},
		// Published exercise: n = 50, p = 0.04, three or more.
		{"P(3 or more of 50)", 1 - price.ChanceEnough(50, 48, 0.04), 0.323286, 5e-7},
		// Overbooking: 22 booked, each shows up with 0.86; all do.
		{"P(22 of 22 show)", price.ChanceEnough(22, 22, 0.14), 0.0362, 5e-5},
		// Overbooking of 400 seats at 0.95 (nrich.maths.org): exact sums.
		{"P(over 400 of 412)", price.ChanceEnough(412, 401, 0.05), 0.01395, 5e-6},
		{"P(over 400 of 413)", price.ChanceEnough(413, 401, 0.05), 0.02605, 5e-6},
		// Overbooking of 200 seats at 0.95, textbook exercise.
		{"P(over 200 of 206)", price.ChanceEnough(206, 201, 0.05), 0.0522, 5e-5},
		{"P(over 200 of 205)", price.ChanceEnough(205, 201, 0.05), 0.0224, 5e-5},
		// q / (1 - s) rounded up is no safe count, computed from the definition.
		{"26 for 24 at 5 %", price.ChanceEnough(26, 24, 0.05), 0.8614, 5e-5},
		{"52 for 50 at 2 %", price.ChanceEnough(52, 50, 0.02), 0.9141, 5e-5},
		{"104 for 100 at 3 %", price.ChanceEnough(104, 100, 0.03), 0.7971, 5e-5},
		{"106 for 100 at 5 %", price.ChanceEnough(106, 100, 0.05), 0.7200, 5e-5},
		{"156 for 144 at 5 %", price.ChanceEnough(156, 144, 0.05), 0.949971, 5e-7},
		{"209 for 200 at 2 %", price.ChanceEnough(209, 200, 0.02), 0.989989, 5e-7},
		// The ends.
		{"none wanted", price.ChanceEnough(0, 0, 0.5), 1, 0},
		{"fewer than wanted", price.ChanceEnough(3, 4, 0.01), 0, 0},
		{"nothing spoils", price.ChanceEnough(4, 4, 0), 1, 0},
		{"all spoils", price.ChanceEnough(9, 1, 1), 0, 0},
	} {
		if math.Abs(row.got-row.want) > row.within {
			t.Errorf("%s = %.7f, want %.7f", row.source, row.got, row.want)
		}
	}
}

// 412 is the most that may be booked for 400 seats where at most 2 % of
// flights may be overfull; the published 411 is a normal approximation.
func TestOverbooking(t *testing.T) {
	n := 400
	for price.ChanceEnough(n+1, 401, 0.05) <= 0.02 {
		n++
	}
	if n != 412 {
		t.Errorf("%d bookings, want 412", n)
	}
}

// A large run keeps its precision: the count is the smallest by the chance as
// computed the other way round, from the bad pieces.
func TestCopiesIsSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.IntRange(1, 3000).Draw(t, "q")
		s := float64(rapid.IntRange(1, 300).Draw(t, "spoilage")) / 10
		c := float64(rapid.IntRange(1, 999).Draw(t, "confidence")) / 10
		n, err := price.Copies(q, unit.Percent(s), unit.Percent(c))
		if err != nil {
			t.Fatal(err)
		}
		if at := fromBad(n, q, s/100); at < c/100-1e-9 {
			t.Fatalf("%d for %d at %v %%: chance %v, want %v", n, q, s, at, c/100)
		}
		if n > q {
			if below := fromBad(n-1, q, s/100); below >= c/100+1e-9 {
				t.Fatalf("%d for %d at %v %%: %d would do, chance %v", n, q, s, n-1, below)
			}
		}
	})
}

// fromBad sums P(b bad of n), b = 0..n-q, by log-gamma.
func fromBad(n, q int, s float64) float64 {
	sum := 0.0
	for b := 0; b <= n-q; b++ {
		sum += math.Exp(lnFactorial(n) - lnFactorial(b) - lnFactorial(n-b) + float64(b)*math.Log(s) + float64(n-b)*math.Log1p(-s))
	}
	return sum
}

func lnFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}

func TestWithFloor(t *testing.T) {
	for _, row := range []struct{ n, q, from, want int }{
		{11, 11, 12, 11}, {12, 12, 12, 13}, {13, 12, 12, 13}, {14, 12, 12, 14}, {12, 12, 0, 12},
	} {
		if got := price.WithFloor(row.n, row.q, row.from); got != row.want {
			t.Errorf("floor of %d for %d from %d on: %d, want %d", row.n, row.q, row.from, got, row.want)
		}
	}
}

// From twelve pieces on there is a spare even where nothing ever spoiled.
func TestOneSpareFromTwelve(t *testing.T) {
	p := teeOrder()
	p.Rates.Spoilage = 0
	p.Lines[0].Sizes = nil
	for _, row := range []struct{ quantity, make int }{{11, 11}, {12, 13}, {24, 25}} {
		p.Lines[0].Quantity = row.quantity
		plan := solved(t, p)
		if plan.Make != row.make || plan.Spares.BySize.Count != row.make-row.quantity {
			t.Errorf("%d pieces: make %d with %d spare blanks, want %d", row.quantity, plan.Make, plan.Spares.BySize.Count, row.make)
		}
	}
}
