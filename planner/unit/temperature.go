package unit

import "math"

// Temperature is a temperature in degrees Celsius.
type Temperature float64

// Celsius returns the temperature of c degrees Celsius.
func Celsius(c float64) Temperature { return Temperature(c) }

// Fahrenheit returns the temperature of f degrees Fahrenheit: (f - 32) / 1.8.
func Fahrenheit(f float64) Temperature { return Temperature((f - 32) * 5 / 9) }

// C returns the temperature in degrees Celsius.
func (t Temperature) C() float64 { return float64(t) }

// F returns the temperature in degrees Fahrenheit: 1.8 t + 32.
func (t Temperature) F() float64 { return float64(t)*9/5 + 32 }

// AbsoluteZero is the lower end of the temperature scale, in degrees Celsius.
const AbsoluteZero Temperature = -273.15

// Valid reports whether t is a number at or above absolute zero.
func (t Temperature) Valid() bool {
	return !math.IsNaN(float64(t)) && !math.IsInf(float64(t), 0) && t >= AbsoluteZero
}
