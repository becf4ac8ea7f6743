package colour

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// reference reads a table of published values that stands beside the project,
// without its header, and skips the test where the folder is missing.
func reference(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "..", "shared", "reference", "colour", name))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("reference table not here: %v", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func labOf(t *testing.T, cells []string) Lab {
	t.Helper()
	return Lab{L: number(t, cells[0]), A: number(t, cells[1]), B: number(t, cells[2])}
}

// Source: G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30(1),
// 2005, 21-30, Table 1: 34 pairs, differences to four decimals.
func TestCIEDE2000Published(t *testing.T) {
	rows := reference(t, "ciede2000_sharma_34.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs, want 34", len(rows))
	}
	const lastPlace = 0.00005
	for _, row := range rows {
		a, b, want := labOf(t, row[1:4]), labOf(t, row[4:7]), number(t, row[7])
		if got := CIEDE2000(a, b); math.Abs(got-want) > lastPlace {
			t.Errorf("pair %s: got %.5f, want %.4f", row[0], got, want)
		}
		if got := CIEDE2000(b, a); math.Abs(got-want) > lastPlace {
			t.Errorf("pair %s turned round: got %.5f, want %.4f", row[0], got, want)
		}
	}
}

// Source: IEC 61966-2-1 curve, the sRGB matrix of B. Lindbloom, CIE 15; the
// three primaries agree with widely printed values (red 53.24, 80.09, 67.20).
func TestReferenceValues(t *testing.T) {
	for _, row := range reference(t, "srgb_xyz_lab_reference.csv") {
		c := Colour{uint8(number(t, row[1])), uint8(number(t, row[2])), uint8(number(t, row[3]))}
		xyz := c.XYZ()
		near(t, row[0]+" XYZ", [3]float64{xyz.X, xyz.Y, xyz.Z}, [3]float64{number(t, row[4]), number(t, row[5]), number(t, row[6])}, 2e-6)
		lab := c.Lab()
		want := labOf(t, row[7:10])
		near(t, row[0]+" Lab D65", [3]float64{lab.L, lab.A, lab.B}, [3]float64{want.L, want.A, want.B}, 1e-3)
		lab, want = c.LabD50(), labOf(t, row[10:13])
		near(t, row[0]+" Lab D50", [3]float64{lab.L, lab.A, lab.B}, [3]float64{want.L, want.A, want.B}, 1e-3)
	}
}

func near(t *testing.T, what string, got, want [3]float64, tolerance float64) {
	t.Helper()
	for i := range got {
		if math.Abs(got[i]-want[i]) > tolerance {
			t.Errorf("%s: got %.6f, want %.6f", what, got, want)
			return
		}
	}
}

// Source: C. S. McCamy, H. Marcus, J. G. Davidson, Journal of Applied
// Photographic Engineering 2(3), 1976, 95-99 (the chart); its L*a*b* under D50
// as specified before November 2014, and how far the nominal sRGB values lie
// from it.
func TestChart24(t *testing.T) {
	rows := reference(t, "colorchecker24.csv")
	if len(rows) != 24 {
		t.Fatalf("%d patches, want 24", len(rows))
	}
	// The table gives three decimals.
	const lastPlace = 0.0015
	for _, row := range rows {
		c, ok := Parse(row[5])
		if !ok {
			t.Fatalf("%s: no colour %q", row[1], row[5])
		}
		got := CIEDE2000(c.LabD50(), labOf(t, row[6:9]))
		if want := number(t, row[15]); math.Abs(got-want) > lastPlace {
			t.Errorf("%s: %.4f from its specification, want %.3f", row[1], got, want)
		}
	}
}

// Source: CSS Color Module Level 4 (W3C), the 148 named colours.
func TestCSSNames(t *testing.T) {
	rows := reference(t, "css_named_colors.csv")
	if len(rows) != 148 {
		t.Fatalf("%d names, want 148", len(rows))
	}
	for _, row := range rows {
		byName, ok := Parse(row[0])
		byHex, okHex := Parse(row[1])
		if !ok || !okHex || byName != byHex {
			t.Errorf("%s: got %v, want %v", row[0], byName, byHex)
		}
		// Nine colours have two names: the name found must have the colour.
		if again, _ := Parse(Name(byHex)); again != byHex {
			t.Errorf("%s: named %s, another colour", row[1], Name(byHex))
		}
	}
}
