package sheet_test

import (
	"fmt"
	"strings"

	"presshand/planner/sheet"
)

func Example() {
	letter, _ := sheet.Known("letter")
	letter.Margin, letter.Gap = 5, 3
	pieces, err := sheet.ReadCSV(strings.NewReader("name,width,height,count\nfull front,9in,7in,12\nleft chest,3.5in,3.5in,40\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	p := sheet.Problem{Sheet: letter, Pieces: pieces}
	plan, err := sheet.Solve(p)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Sheets, "sheets, the fewest:", plan.Fewest)
	fmt.Println("kept every promise:", sheet.Check(p, plan) == nil)
	fmt.Printf("free on the last: %.2f x %.2f in\n", plan.Free.Width.In(), plan.Free.Height.In())
	// Output:
	// 22 sheets, the fewest: true
	// kept every promise: true
	// free on the last: 8.11 x 3.37 in
}
