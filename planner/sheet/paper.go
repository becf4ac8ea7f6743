package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"presshand/planner/unit"
)

// A Sheet is the paper that pieces are laid on.
type Sheet struct {
	Name   string      // "letter", "a4", ...; "" for any other size
	Width  unit.Length // 0 < Width <= MaxSide
	Height unit.Length // 0 < Height <= MaxSide; without meaning on an endless sheet
	Margin unit.Length // unprintable border on all four sides, >= 0
	Gap    unit.Length // between two pieces, >= 0
}

// MaxSide is the longest side of a sheet or piece: longer than any roll a
// small shop feeds, and small enough that a slip of the decimal point shows.
const MaxSide unit.Length = 100_000

// known returns the sizes that have a name, in the order they are listed to
// people. ISO sizes: ISO 216:2007, table 1. Letter and tabloid are sizes A
// and B of ASME Y14.1 (8.5 x 11 in, 11 x 17 in); legal (8.5 x 14 in) is
// common practice, no source.
func known() []Sheet {
	return []Sheet{
		{Name: "letter", Width: unit.Inches(8.5), Height: unit.Inches(11)},
		{Name: "a4", Width: 210, Height: 297},
		{Name: "a3", Width: 297, Height: 420},
		{Name: "tabloid", Width: unit.Inches(11), Height: unit.Inches(17)},
		{Name: "legal", Width: unit.Inches(8.5), Height: unit.Inches(14)},
	}
}

// Known returns the sheet of a name, in any case, with no margin and no gap.
func Known(name string) (Sheet, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, s := range known() {
		if s.Name == name {
			return s, true
		}
	}
	return Sheet{}, false
}

// ParseSheet reads a known name or a size: "210x297" in millimetres, or with
// a unit, "8.5x11in" or "8.5in x 11in". The sheet has no margin and no gap.
func ParseSheet(s string) (Sheet, error) {
	if sheet, ok := Known(s); ok {
		return sheet, nil
	}
	text := strings.ToLower(strings.ReplaceAll(s, "×", "x"))
	left, right, found := strings.Cut(text, "x")
	if !found {
		return Sheet{}, fmt.Errorf("sheet %q: unknown name: write %s, or a size such as 210x297 or 8.5x11in", s, knownNames())
	}
	height, heightUnit, err := splitUnit(right)
	if err != nil {
		return Sheet{}, fmt.Errorf("sheet %q: height: %w", s, err)
	}
	width, widthUnit, err := splitUnit(left)
	if err != nil {
		return Sheet{}, fmt.Errorf("sheet %q: width: %w", s, err)
	}
	if widthUnit == "" {
		widthUnit = heightUnit // "8.5x11in" gives the unit once, for both
	}
	sheet := Sheet{Width: inUnit(width, widthUnit), Height: inUnit(height, heightUnit)}
	if err := sheet.validate(false); err != nil {
		return Sheet{}, err
	}
	return sheet, nil
}

func knownNames() string {
	var names []string
	for _, s := range known() {
		names = append(names, s.Name)
	}
	return strings.Join(names, ", ")
}

// lengthUnits lists the units a size may carry, longest spelling first, with
// their millimetres (the inch by unit.MillimetresPerInch).
func lengthUnits() []struct {
	name string
	mm   float64
} {
	return []struct {
		name string
		mm   float64
	}{
		{"inches", unit.MillimetresPerInch}, {"inch", unit.MillimetresPerInch}, {"in", unit.MillimetresPerInch},
		{`"`, unit.MillimetresPerInch}, {"″", unit.MillimetresPerInch},
		{"mm", 1}, {"cm", 10}, {"m", 1000},
	}
}

// splitUnit reads a number with an optional unit behind it.
func splitUnit(s string) (value float64, name string, err error) {
	text := strings.TrimSpace(s)
	for _, u := range lengthUnits() {
		if strings.HasSuffix(text, u.name) {
			name, text = u.name, strings.TrimSpace(strings.TrimSuffix(text, u.name))
			break
		}
	}
	value, err = parseNumber(text)
	if err != nil {
		return 0, "", fmt.Errorf("%q is no length: write a number, with mm, cm, m or in behind it where it is not mm", s)
	}
	return value, name, nil
}

// parseNumber reads a plain decimal number. Go's own spellings of other
// numbers (0x1p4, 1_000, inf) are not what a person means by a length.
func parseNumber(s string) (float64, error) {
	if s == "" || strings.Trim(s, "0123456789.+-eE") != "" {
		return 0, strconv.ErrSyntax
	}
	return strconv.ParseFloat(s, 64)
}

func inUnit(value float64, name string) unit.Length {
	for _, u := range lengthUnits() {
		if u.name == name {
			return unit.Length(value * u.mm)
		}
	}
	return unit.Length(value)
}

// validate says what is wrong with a sheet before anything is laid on it.
func (s Sheet) validate(endless bool) error {
	if err := checkSide("sheet width", s.Width); err != nil {
		return err
	}
	if err := checkSide("sheet height", s.Height); err != nil && !endless {
		return err
	}
	if err := checkBorder("margin", s.Margin); err != nil {
		return err
	}
	if err := checkBorder("gap", s.Gap); err != nil {
		return err
	}
	if s.Width <= 2*s.Margin || !endless && s.Height <= 2*s.Margin {
		return fmt.Errorf("margin of %s leaves nothing of a sheet of %s: make it smaller", mm(s.Margin), size(s.Width, s.Height))
	}
	return nil
}

func checkSide(what string, l unit.Length) error {
	switch {
	case math.IsNaN(float64(l)) || math.IsInf(float64(l), 0):
		return fmt.Errorf("%s is no finite number: write it in mm", what)
	case l <= 0:
		return fmt.Errorf("%s is %s: it must be above zero", what, mm(l))
	case l < minSide:
		return fmt.Errorf("%s is %s: the smallest is %s", what, mm(l), mm(minSide))
	case l > MaxSide:
		return fmt.Errorf("%s is %s: the largest is %s", what, mm(l), mm(MaxSide))
	}
	return nil
}

// minSide is the smallest side of a sheet or piece: finer than any printer or
// cutter, so that a smaller one is a slip.
const minSide unit.Length = 0.01

func checkBorder(what string, l unit.Length) error {
	if math.IsNaN(float64(l)) || l < 0 || l > MaxSide {
		return fmt.Errorf("%s is %s: it must be zero or more, and at most %s", what, mm(l), mm(MaxSide))
	}
	return nil
}

// mm writes a length for people who wrote millimetres.
func mm(l unit.Length) string {
	return strconv.FormatFloat(math.Round(float64(l)*100)/100, 'f', -1, 64) + " mm"
}

func size(w, h unit.Length) string {
	return strings.TrimSuffix(mm(w), " mm") + " x " + mm(h)
}
