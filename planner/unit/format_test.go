package unit

import "testing"

// Sources of the check values: inch, ounce per square yard and Fahrenheit as
// in parse_test.go (NIST SP 811). That a shop reads Fahrenheit and inches
// first, with the other in brackets, is how we want our answers to look.
func TestStyle(t *testing.T) {
	us := Style{Fahrenheit: true, Inches: true}
	metric := Style{}
	for _, row := range []struct{ got, want string }{
		{us.Temperature(Fahrenheit(310)), "310 °F (154 °C)"},
		{us.Temperature(Fahrenheit(385)), "385 °F (196 °C)"},
		{us.Temperature(Celsius(200)), "392 °F (200 °C)"},
		{metric.Temperature(Fahrenheit(310)), "154 °C (310 °F)"},
		{metric.Temperature(Celsius(-0.2)), "0 °C (32 °F)"},
		{us.TemperatureRange(Fahrenheit(275), Fahrenheit(320)), "275-320 °F (135-160 °C)"},
		{us.Length(Inches(9)), "9 in (229 mm)"},
		{us.Length(Millimetres(75)), "2.95 in (75 mm)"},
		{metric.Length(Inches(3)), "76 mm (3 in)"},
		{us.LengthRange(Inches(10), Inches(12)), "10-12 in (254-305 mm)"},
		{us.Size(Inches(9), Inches(7)), "9 x 7 in"},
		{metric.Size(Inches(9), Inches(7)), "229 x 178 mm"},
		{us.ArealMass(OuncesPerSquareYard(5.3)), "5.3 oz/yd² (180 g/m²)"},
		{metric.ArealMass(GramsPerSquareMetre(180)), "180 g/m² (5.3 oz/yd²)"},
		{us.Duration(Seconds(5)), "5 s"},
		{us.Duration(Seconds(120)), "120 s"},
		{us.Duration(Minutes(10)), "10 min"},
		{us.Duration(Minutes(65)), "1 h 05 min"},
		{us.Duration(Minutes(155)), "2 h 35 min"},
		{us.Duration(Hours(24)), "24 h"},
		{us.Duration(Hours(72)), "3 days"},
		{us.DurationRange(Minutes(5), Minutes(15)), "5-15 min"},
		{us.DurationRange(Seconds(15), Seconds(45)), "15-45 s"},
		{us.DurationRange(Seconds(90), Minutes(10)), "90 s to 10 min"},
		{us.Percent(Percent(50)), "50 %"},
		{us.Percent(Percent(12.5)), "12.5 %"},
	} {
		if row.got != row.want {
			t.Errorf("got %q, want %q", row.got, row.want)
		}
	}
}
