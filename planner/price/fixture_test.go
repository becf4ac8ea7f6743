package price_test

import (
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/price"
	"presshand/planner/unit"
)

// The fixture is a shop of our own invention with round figures; no price in
// it is anybody's.

func d(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func usd() price.Currency {
	c, err := price.CurrencyOf("USD")
	if err != nil {
		panic(err)
	}
	return c
}

func shopRates() price.Rates {
	return price.Rates{
		Currency:      usd(),
		LabourPerHour: d("24"),
		Allowance:     price.Allowance{Share: unit.Percent(15), Of: price.OfWork},
		Machines: []price.Machine{
			{Name: "printer", Price: d("6000"), Residual: d("600"), Life: d("5"), Upkeep: d("300"), Space: d("400"), Hours: d("1000"), Power: d("0.8"), Duty: unit.Percent(50)},
			{Name: "press", Press: true, PerHour: d("1.5"), Power: d("1.8"), Duty: unit.Percent(40)},
		},
		EnergyPerKWh: d("0.2"),
		Page:         price.Page{Width: unit.Millimetres(210), Height: unit.Millimetres(297)},
		Methods: []price.Method{
			{
				ID:     "two-step-transfer",
				Sheets: []price.Sheet{{Name: "transfer sheet", Price: d("0.95")}, {Name: "adhesive sheet", Price: d("1")}},
				Covers: []price.Cover{{Name: "cover sheet", Price: d("6"), Uses: 100, PerPiece: 2, PerSheet: 1}},
				Toner: []price.Cartridge{
					{Channel: "c", Price: d("90"), Yield: 2500, AtCoverage: unit.Percent(5), Source: price.ByStandard},
					{Channel: "m", Price: d("90"), Yield: 2500, AtCoverage: unit.Percent(5), Source: price.ByStandard},
					{Channel: "y", Price: d("90"), Yield: 2500, AtCoverage: unit.Percent(5), Source: price.ByStandard},
					{Channel: "white", Price: d("180"), Yield: 2000, AtCoverage: unit.Percent(5), Source: price.ByShop},
				},
			},
			{
				ID:     "sublimation",
				Dye:    true,
				Sheets: []price.Sheet{{Name: "sublimation paper", Price: d("0.12")}},
				Covers: []price.Cover{{Name: "cover sheet", Price: d("6"), Uses: 100, PerPiece: 1}},
				Toner: []price.Cartridge{
					{Channel: "c", Price: d("120"), Yield: 2000, AtCoverage: unit.Percent(5), Source: price.ByShop},
					{Channel: "m", Price: d("120"), Yield: 2000, AtCoverage: unit.Percent(5), Source: price.ByShop},
					{Channel: "y", Price: d("120"), Yield: 2000, AtCoverage: unit.Percent(5), Source: price.ByShop},
					{Channel: "k", Price: d("120"), Yield: 2000, AtCoverage: unit.Percent(5), Source: price.ByShop},
				},
			},
		},
		Overhead:   price.Overhead{Share: unit.Percent(12)},
		Gain:       price.Gain{By: price.ByMargin, Share: unit.Percent(45)},
		Setup:      d("10"),
		Minimum:    d("25"),
		Rush:       []price.RushShare{{Within: 2, Share: unit.Percent(15)}},
		Spoilage:   unit.Percent(3),
		Confidence: unit.Percent(95),
		SpareFrom:  12,
		ValidDays:  30,
	}
}

func teeLine() price.Line {
	return price.Line{
		Quantity: 24, Item: "tee", Colour: "black", Method: "two-step-transfer",
		Sizes:  map[string]int{"M": 12, "L": 8, "2XL": 4},
		Blank:  price.Blank{Each: d("3.10"), Extra: map[string]decimal.Decimal{"2XL": d("2")}},
		Design: "crest", Designs: 1, PerSheet: 1,
		Prints: []price.Print{{
			Spot: "front", Width: unit.Inches(9), Height: unit.Inches(7),
			Coverage: []price.Coverage{
				{Channel: "c", Share: unit.Percent(20)}, {Channel: "m", Share: unit.Percent(30)},
				{Channel: "y", Share: unit.Percent(10)}, {Channel: "white", Share: unit.Percent(60)},
			},
		}},
		Hands: []price.Work{
			{Name: "load and start the printer", PerLine: unit.Minutes(5)},
			{Name: "marry and pull", PerSheet: 25},
			{Name: "press, peel, finish, check", PerPiece: 80},
		},
		Runs: []price.Work{
			{Name: "printer", PerSheet: 10},
			{Name: "press", PerSheet: 120, PerPiece: 70},
		},
	}
}

func teeOrder() price.Problem {
	return price.Problem{
		Rates: shopRates(),
		Lines: []price.Line{teeLine()},
		Now:   time.Date(2026, 11, 25, 9, 0, 0, 0, time.FixedZone("", -5*3600)),
	}
}
