package artwork

import (
	"bytes"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// testWish is a two-step transfer on a black tee. Its limits are the tests'
// own, chosen round; the trade's live in the knowledge base.
func testWish() Wish {
	return Wish{
		Method: "two-step transfer",
		Blank:  Blank{Known: true, Name: "black cotton tee", Colour: colour.Black(), Shade: "dark", Dark: true},
		Rules: Rules{
			White:     true,
			MinStroke: 0.5, MinGap: 0.4, SoftEdge: 0.4, MinText: 2, Speck: 0.6,
			WantedPPI: 300, WarnPPI: 200, RefusePPI: 100,
			LargestAt: []float64{300, 200, 150},
			Shift:     8, Vanish: 8,
			WhiteOn: []string{"mid", "dark"},
			PhotoOn: []string{"mid"},
		},
		Style: unit.Style{Inches: true},
	}
}

// testLimits are small enough for quick tests.
func testLimits() Limits {
	return Limits{Bytes: 1 << 20, Side: 2400, Pixels: 6_000_000, Drawing: 600}
}

func openBytes(data []byte) (*Art, error) {
	return Open(bytes.NewReader(data), DefaultLimits())
}
