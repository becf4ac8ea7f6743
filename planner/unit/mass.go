package unit

// ArealMass is the weight of a fabric in grams per square metre.
type ArealMass float64

// Grams in an ounce (avoirdupois) and square metres in a square yard, both
// exact. Source: NIST SP 811.
const (
	GramsPerOunce         = 28.349523125
	SquareMetresPerSqYard = 0.83612736
)

// MillilitresPerFluidOunce is the US fluid ounce, by which vessels are named.
// Source: NIST SP 811, appendix B.8.
const MillilitresPerFluidOunce = 29.57353

// GramsPerSquareMetre returns an areal mass of g grams per square metre.
func GramsPerSquareMetre(g float64) ArealMass { return ArealMass(g) }

// OuncesPerSquareYard returns an areal mass of oz ounces per square yard.
func OuncesPerSquareYard(oz float64) ArealMass {
	return ArealMass(oz * GramsPerOunce / SquareMetresPerSqYard)
}

// GSM returns the areal mass in grams per square metre.
func (m ArealMass) GSM() float64 { return float64(m) }

// OzYd2 returns the areal mass in ounces per square yard.
func (m ArealMass) OzYd2() float64 { return float64(m) / GramsPerOunce * SquareMetresPerSqYard }
