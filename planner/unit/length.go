package unit

// Length is a length in millimetres.
type Length float64

// MillimetresPerInch is exact by the international agreement of 1959.
const MillimetresPerInch = 25.4

// Millimetres returns a length of mm millimetres.
func Millimetres(mm float64) Length { return Length(mm) }

// Inches returns a length of in inches.
func Inches(in float64) Length { return Length(in * MillimetresPerInch) }

// MM returns the length in millimetres.
func (l Length) MM() float64 { return float64(l) }

// In returns the length in inches.
func (l Length) In() float64 { return float64(l) / MillimetresPerInch }
