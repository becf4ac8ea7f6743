package unit

import (
	"math"
	"testing"
)

// Sources of the check values:
//
//   - inch, foot: international yard and pound agreement, 1959 (1 in = 25.4 mm);
//     NIST Special Publication 811, appendix B.8.
//   - oz/yd2 to g/m2: NIST SP 811, appendix B.8: 1 oz (avoirdupois)/yd2 =
//     3.390575 E-02 kg/m2.
//   - Fahrenheit: NIST SP 811, appendix B.8: t/C = (t/F - 32)/1.8. Fixed
//     points: water freezes at 32 F = 0 C; -40 is the same on both scales;
//     212 F = 100 C.
//   - Minute, hour, day: The International System of Units (SI brochure),
//     table 8: 60 s, 3600 s, 86 400 s.

func near(got, want, slip float64) bool { return math.Abs(got-want) <= slip }

func TestParseTemperature(t *testing.T) {
	for text, want := range map[string]float64{
		"32 F": 0, "212F": 100, "-40 °F": -40, "-40 C": -40, "154 °C": 154, "310f": 154.4444, " 200 deg C ": 200, "392 F": 200,
	} {
		got, err := ParseTemperature(text)
		if err != nil || !near(got.C(), want, 1e-4) {
			t.Errorf("%q: got %v, %v; want %v C", text, got, err, want)
		}
	}
	refuses(t, func(s string) error { _, err := ParseTemperature(s); return err }, "", "310", "F", "310 K", "-300 C", "310 F x", "1.2.3 C", "30 s")
}

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"1 in": 25.4, `9"`: 228.6, "9 inches": 228.6, "9″": 228.6, "22.9 cm": 229, "3 mm": 3, "2 ft": 609.6, "1.5 m": 1500, ".5 in": 12.7,
	} {
		got, err := ParseLength(text)
		if err != nil || !near(got.MM(), want, 1e-9) {
			t.Errorf("%q: got %v, %v; want %v mm", text, got, err, want)
		}
	}
	refuses(t, func(s string) error { _, err := ParseLength(s); return err }, "", "9", "in", "-1 in", "7x", "9 x 7 in", "9 yd2")
}

func TestParseDuration(t *testing.T) {
	for text, want := range map[string]float64{
		"30 s": 30, "2 min": 120, "1 h 05 min": 3900, "1h5m": -1, "2 min 30 s": 150, "24h": 86400, "3 days": 259200, "1.5 h": 5400, "90sec": 90,
	} {
		got, err := ParseDuration(text)
		if want < 0 {
			if err == nil {
				t.Errorf("%q: got %v, want an error", text, got)
			}
			continue
		}
		if err != nil || !near(got.S(), want, 1e-9) {
			t.Errorf("%q: got %v, %v; want %v s", text, got, err, want)
		}
	}
	refuses(t, func(s string) error { _, err := ParseDuration(s); return err }, "", "30", "s", "-5 s", "5 min 1 h", "1 h 1 h", "10 F", "30 s and more")
}

func TestParseShare(t *testing.T) {
	for text, want := range map[string]float64{"45 %": .45, "3%": .03, "100 percent": 1, "0 %": 0} {
		got, err := ParseShare(text)
		if err != nil || !near(float64(got), want, 1e-12) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	refuses(t, func(s string) error { _, err := ParseShare(s); return err }, "", "0.45", "%", "45 F")
}

func TestParseArealMass(t *testing.T) {
	for text, want := range map[string]float64{
		"1 oz/yd2": 33.90575, "10 oz/yd²": 339.0575, "5.3 oz": 179.7005, "180 g/m2": 180, "180 GSM": 180, "8.2 oz/sq yd": 278.0272,
	} {
		got, err := ParseArealMass(text)
		if err != nil || !near(got.GSM(), want, 1e-4) {
			t.Errorf("%q: got %v, %v; want %v g/m2", text, got.GSM(), err, want)
		}
	}
	refuses(t, func(s string) error { _, err := ParseArealMass(s); return err }, "", "180", "oz", "-1 oz", "5 lb")
}

func refuses(t *testing.T, parse func(string) error, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if parse(text) == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

// What a Style writes in its first unit, Parse reads again.
func TestParseReadsStyle(t *testing.T) {
	for _, s := range []Style{{}, {Fahrenheit: true, Inches: true}} {
		for _, seconds := range []float64{0, 5, 30, 120, 150, 600, 3600, 3900, 9300, 86400, 259200} {
			text := s.Duration(Seconds(seconds))
			if got, err := ParseDuration(text); err != nil || got.S() != seconds {
				t.Errorf("%q: got %v, %v; want %v s", text, got, err, seconds)
			}
		}
		if got, err := ParseShare(s.Percent(Percent(12.5))); err != nil || got != Percent(12.5) {
			t.Errorf("share: got %v, %v", got, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"310F", `9"`, "1 h 05 min", "45 %", "5.3 oz/yd2", "-", "1 h 1 h", "½ in"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if v, err := ParseTemperature(s); err == nil && !v.Valid() {
			t.Errorf("%q: temperature %v", s, v)
		}
		if v, err := ParseLength(s); err == nil && !(v >= 0) {
			t.Errorf("%q: length %v", s, v)
		}
		if v, err := ParseDuration(s); err == nil && !(v >= 0) {
			t.Errorf("%q: duration %v", s, v)
		}
		_, _ = ParseShare(s)
		if v, err := ParseArealMass(s); err == nil && !(v >= 0) {
			t.Errorf("%q: areal mass %v", s, v)
		}
	})
}
