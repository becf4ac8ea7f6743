package price_test

import (
	"fmt"

	"presshand/planner/price"
)

func ExampleSolve() {
	plan, err := price.Solve(teeOrder())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(price.CustomerText(plan))
	fmt.Println("make", plan.Make, "on", plan.Sheets, "sheets")
	// Output:
	// 24 black tees: 17.52 each, 420.48.
	// Set-up: 10.00.
	// In all 430.48 USD.
	// This price holds until December 25, 2026.
	// make 26 on 26 sheets
}

func ExampleCopies() {
	n, err := price.Copies(24, 0.03, 0.95)
	fmt.Println(n, err)
	// Output: 26 <nil>
}
