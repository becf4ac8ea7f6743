package price

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Rounding says what happens to the part below the smallest amount.
type Rounding string

// The rounding rules. The empty word means HalfUp.
const (
	HalfUp   Rounding = "half up"   // 0.5 goes up: the rule of most tax offices and tills
	HalfEven Rounding = "half even" // 0.5 goes to the even neighbour
	Up       Rounding = "up"        // any rest goes up: a price never falls short of its margin
)

// A Currency is a code with its number of places and its rounding.
type Currency struct {
	Code     string   `json:"code"`     // ISO 4217, three capitals
	Places   int32    `json:"places"`   // digits after the point, 0..4, ISO 4217 "minor unit"
	Rounding Rounding `json:"rounding"` // "" means HalfUp

	// Step is the smallest amount that is charged (0.05 where the smallest
	// coin is a twentieth). Zero means one unit of the last place. Costs are
	// never rounded to it.
	Step decimal.Decimal `json:"step"`
}

// CurrencyOf returns the currency of an ISO 4217 code with its minor unit as
// the standard lists it (ISO 4217:2015, list one; from memory) and rounding
// half up. Case does not matter. An unknown code is an error.
func CurrencyOf(code string) (Currency, error) {
	c := strings.ToUpper(strings.TrimSpace(code))
	places, ok := minorUnit(c)
	if !ok {
		return Currency{}, fmt.Errorf("currency %q is not in ISO 4217: write its three letters, such as USD, EUR or JPY", code)
	}
	return Currency{Code: c, Places: places, Rounding: HalfUp}, nil
}

// minorUnit returns the number of places of an ISO 4217 code in use.
func minorUnit(code string) (int32, bool) {
	const (
		none  = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
		three = "BHD IQD JOD KWD LYD OMR TND"
		four  = "CLF UYW"
		two   = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD " +
			"CAD CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD " +
			"GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD " +
			"MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP " +
			"PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS " +
			"TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VES WST XCD YER ZAR ZMW ZWG"
	)
	if len(code) != len("USD") || strings.Contains(code, " ") {
		return 0, false
	}
	for places, list := range []string{0: none, 2: two, 3: three, 4: four} {
		if strings.Contains(list, code) {
			return int32(places), true
		}
	}
	return 0, false
}

// Format writes an amount with the currency's own number of places.
func (c Currency) Format(d decimal.Decimal) string { return d.StringFixed(c.Places) }
