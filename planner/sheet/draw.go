package sheet

import (
	"fmt"
	"image/color"

	"presshand/planner/picture"
)

// Draw shows a plan to scale.
func Draw(p Problem, plan Plan) *picture.Canvas {
	const scale, border = 2, 20
	w, h := float64(p.Sheet.Width)*scale, float64(p.Sheet.Height)*scale
	c := picture.New(w+2*border, (h+border)*float64(plan.Sheets)+border, color.White)
	for n := range plan.Sheets {
		c.Rect(border, border+float64(n)*(h+border), w, h, picture.Style{Stroke: color.Black})
	}
	for _, place := range plan.Places {
		x, y := border+float64(place.X)*scale, border+float64(place.Sheet-1)*(h+border)+float64(place.Y)*scale
		c.Rect(x, y, float64(place.Width)*scale, float64(place.Height)*scale, picture.Style{Fill: color.Gray{Y: 220}, Stroke: color.Black})
		c.Text(x+4, y+16, fmt.Sprintf("%s %s", place.Name, size(place.Width, place.Height)), picture.Text{})
	}
	return c
}
