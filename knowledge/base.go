package knowledge

// Base is a complete, checked knowledge base. It does not change after Load
// and may be read by any number of goroutines.
type Base struct {
	Methods     []*Method
	Fibres      []*Fibre
	Fabrics     []*Fabric
	Blanks      []*Blank
	Colours     []*Colour
	Recipes     []*Recipe
	Rules       []*Rule
	Lightness   []*LightnessClass
	Procedures  []*Procedure
	Cautions    []*Caution
	Faults      []*Fault
	Placements  []*Placement
	Care        []*Care
	Terms       []*Term
	Guides      []*Guide
	Corrections []*Correction
	Cues        []*Cue
	Lexicons    []*Lexicon
	ShopRules   []*ShopRule // as they were added, by number
}
