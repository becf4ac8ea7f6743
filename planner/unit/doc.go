// Package unit holds the physical quantities the planners compute with.
//
// Every quantity is its own type, so that a temperature can't be passed where
// a time is wanted. Inside the program they are SI or a plain multiple of it;
// the shop's units appear only at the edge, through Parse functions on the way
// in and a Style on the way out.
//
//	Temperature  degrees Celsius
//	Length       millimetres
//	Duration     seconds
//	Share        0..1
//	ArealMass    grams per square metre
//
// Exact conversions: inch to millimetre (25.4 mm by definition), minute and
// hour to second, percent to share, and ounce per square yard to gram per
// square metre as the quotient 28.349523125 g / 0.83612736 m2 (NIST SP 811,
// both factors exact). Fahrenheit to Celsius is exact in arithmetic but most
// whole Fahrenheit degrees are no whole Celsius degree; rounding happens only
// when a value is shown.
//
// The package does no I/O and knows no trade facts. Money is no quantity of
// this package: it is a decimal (github.com/shopspring/decimal).
package unit
