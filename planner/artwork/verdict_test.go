package artwork

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// plate is solid art of w x h pixels that has nothing wrong with it.
func plate(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	fill(m, m.Rect, color.NRGBA{255, 214, 0, 255})
	return m
}

func ids(r Report) []string {
	out := []string{}
	for _, f := range r.Findings {
		out = append(out, f.ID)
	}
	return out
}

func ashPolyester() Blank {
	return Blank{Known: true, Name: "ash tee", Colour: colour.Colour{R: 0xd3, G: 0xd3, B: 0xd0}, Polyester: 0.65, Shade: "light"}
}

func dye(w Wish) Wish {
	w.Method = "sublimation"
	w.Rules.Dye, w.Rules.White, w.Rules.Black, w.Rules.HoldsSoft = true, false, true, true
	return w
}

func TestVerdict(t *testing.T) {
	hairline := plate(300, 200)
	fill(hairline, image.Rect(0, 0, 300, 50), color.NRGBA{})
	fill(hairline, image.Rect(25, 25, 275, 27), red())
	fade := plate(300, 200)
	for x := range 50 {
		fill(fade, image.Rect(x, 0, x+1, 200), color.NRGBA{255, 214, 0, uint8(20 + 4*x)})
	}
	boxed := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	fill(boxed, boxed.Rect, color.NRGBA{255, 255, 255, 255})
	fill(boxed, image.Rect(50, 50, 250, 150), color.NRGBA{255, 214, 0, 255})
	black := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	fill(black, black.Rect, color.NRGBA{10, 10, 10, 255})
	dusty := plate(300, 200)
	fill(dusty, image.Rect(0, 0, 300, 30), color.NRGBA{})
	fill(dusty, image.Rect(10, 10, 12, 12), red())

	set := func(change func(*Wish)) Wish {
		w := testWish()
		w.Width = unit.Inches(1)
		change(&w)
		return w
	}
	tests := []struct {
		name    string
		m       image.Image
		wish    Wish
		verdict Verdict
		ids     []string
	}{
		{"nothing wrong", plate(300, 200), set(func(*Wish) {}), Fits, []string{}},
		{"at the wanted density", plate(300, 200), set(func(w *Wish) { w.Rules.WarnPPI = 300 }), Fits, []string{}},
		{"few pixels", plate(300, 200), set(func(w *Wish) { w.Width = unit.Inches(2) }), WithCare, []string{FewPixels}},
		{"too few", plate(300, 200), set(func(w *Wish) { w.Width = unit.Inches(4) }), RuledOut, []string{TooFewPixels}},
		{"no size named", plate(300, 200), set(func(w *Wish) { w.Width = 0 }), Fits, []string{}},
		{"hairline", hairline, set(func(*Wish) {}), WithCare, []string{ThinStroke}},
		{"hairline forbidden", hairline, set(func(w *Wish) { w.Rules.Forbids = []string{ThinStroke} }), RuledOut, []string{ThinStroke}},
		{"fade on toner", fade, set(func(*Wish) {}), WithCare, []string{SoftEdges}},
		{"fade on dye", fade, set(func(w *Wish) { *w = dye(*w); w.Blank = Blank{} }), Fits, []string{}},
		{"box", boxed, set(func(w *Wish) { w.Blank = Blank{} }), WithCare, []string{BoxBehind}},
		{"white box for dye", boxed, set(func(w *Wish) { *w = dye(*w); w.Blank = Blank{} }), Fits, []string{}},
		{"black on black", black, set(func(*Wish) {}), WithCare, []string{Vanishes}},
		{"black on white", black, set(func(w *Wish) { w.Blank.Colour = colour.White() }), Fits, []string{}},
		{"dye on black", plate(300, 200), set(func(w *Wish) { *w = dye(*w) }), WithCare, []string{NeedsWhite, Vanishes}},
		{"dye on ash", plate(300, 200), set(func(w *Wish) { *w = dye(*w); w.Blank = ashPolyester() }), WithCare, []string{ColourShift}},
		{"dye on white polyester", boxed, set(func(w *Wish) {
			*w = dye(*w)
			w.Blank = Blank{Known: true, Colour: colour.White(), Polyester: 1, Shade: "very light"}
		}), Fits, []string{}},
		{"photo on mid", scene(300, 200), set(func(w *Wish) { w.Blank.Shade, w.Rules.Vanish = "mid", 0 }), WithCare, []string{PhotoOnBlank}},
		{"speck", dusty, set(func(*Wish) {}), WithCare, []string{SpecksFound}},
		{"speck let pass", dusty, set(func(w *Wish) { w.Rules.Specks = 1 }), Fits, []string{}},
		{"other shape", plate(300, 200), set(func(w *Wish) { w.Height = unit.Inches(0.5) }), Fits, []string{Proportion}},
		{"no rules", hairline, Wish{Width: 500}, Fits, []string{}},
	}
	for _, tt := range tests {
		r := inspectImage(t, tt.m, tt.wish)
		if r.Verdict != tt.verdict || !cmp.Equal(ids(r), tt.ids) {
			t.Errorf("%s: %s %v, want %s %v", tt.name, r.Verdict, ids(r), tt.verdict, tt.ids)
		}
	}
}

// 1,920 px for 9 in: 213 ppi. At 300 ppi 9 in want 2,700 px, and 1,920 px give
// 6.4 in.
func TestMends(t *testing.T) {
	wish := testWish()
	wish.Width = unit.Inches(9)
	wish.Rules.WarnPPI = 250
	find := func(r Report, id string) Finding {
		for _, f := range r.Findings {
			if f.ID == id {
				return f
			}
		}
		t.Fatalf("no %s in %v", id, ids(r))
		return Finding{}
	}
	r := inspectImage(t, plate(1920, 200), wish)
	if got, want := find(r, FewPixels).Mend, "send a 2,700 px wide file or print it 6.4 in wide"; got != want {
		t.Errorf("mend %q, want %q", got, want)
	}
	if r.EffectivePPI != 213.3 || r.Print != (Print{228.6, 23.8}) {
		t.Errorf("%g ppi, %+v; want 213.3 and 228.6 x 23.8", r.EffectivePPI, r.Print)
	}
	want := []AtPPI{{300, 162.6, 16.9}, {200, 243.8, 25.4}, {150, 325.1, 33.9}}
	if diff := cmp.Diff(want, r.Largest); diff != "" {
		t.Errorf("largest (-want +got):\n%s", diff)
	}
	wish.Style = unit.Style{}
	r = inspectImage(t, plate(1920, 200), wish)
	if got, want := find(r, FewPixels).Mend, "send a 2,700 px wide file or print it 163 mm wide"; got != want {
		t.Errorf("mend %q, want %q", got, want)
	}

	// 5 px at 300 ppi are 0.42 mm; 0.5 mm are wanted, so 1.18 times the size.
	m := plate(600, 400)
	fill(m, image.Rect(0, 0, 600, 100), color.NRGBA{})
	fill(m, image.Rect(50, 50, 550, 55), red())
	wish = testWish()
	wish.Width = unit.Inches(2)
	got := find(inspectImage(t, m, wish), ThinStroke)
	if want := "thicken it to 0.5 mm, or print it 2.4 in wide"; got.Mend != want || got.Y < 50 || got.Y > 54 {
		t.Errorf("mend %q at %d,%d; want %q on the line", got.Mend, got.X, got.Y, want)
	}
}

// The stable form for scripts: names and order of the contract.
func TestJSON(t *testing.T) {
	wish := testWish()
	wish.Width = unit.Inches(9)
	m := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	fill(m, image.Rect(100, 80, 300, 200), red())
	got, err := json.Marshal(inspectImage(t, m, wish))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"pixels":{"width":300,"height":200},"bounds":{"x":100,"y":80,"width":200,"height":120},` +
		`"print":{"width":228.6,"height":137.2},"effective_ppi":22.2,"largest":[{"ppi":300,"width":16.9,"height":10.2},` +
		`{"ppi":200,"width":25.4,"height":15.2},{"ppi":150,"width":33.9,"height":20.3}],` +
		`"transparent":0,"half_transparent":0,"solid":1,"box":false,` +
		`"thinnest_stroke":{"mm":137.16,"x":200,"y":140},"thinnest_gap":null,"specks":{"count":0,"smallest_mm":0},` +
		`"colours":[{"hex":"#c81e28","name":"firebrick","share":1}],` +
		`"coverage":{"c":0.2157,"m":0.8824,"y":0.8431,"k":0,"white":1},"verdict":"ruled out",` +
		`"findings":[{"id":"too-few-pixels","text":"200 px across 9 in is 22 pixels an inch; 300 are wanted",` +
		`"mend":"send a file with the art 2,700 px wide or print it 0.7 in wide","x":200,"y":140}]}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Errorf("JSON (-want +got):\n%s", diff)
	}
}

// The wish is given as one of these, or taken from the file.
func TestSizeFrom(t *testing.T) {
	m := plate(600, 300)
	dense := newArt(PNG, m, meta{orientation: 1, ppiX: 200, ppiY: 200})
	bare := newArt(PNG, m, meta{orientation: 1})
	tests := []struct {
		name          string
		art           *Art
		width, height unit.Length
		from          SizeFrom
		print         Print
	}{
		{"width", dense, 100, 0, FromWish, Print{100, 50}},
		{"height", dense, 0, 100, FromWish, Print{200, 100}},
		{"both, width binds", bare, 100, 100, FromWish, Print{100, 50}},
		{"both, height binds", bare, 500, 100, FromWish, Print{200, 100}},
		{"the file's", dense, 0, 0, FromFile, Print{76.2, 38.1}},
		{"none", bare, 0, 0, FromDensity, Print{50.8, 25.4}},
	}
	for _, tt := range tests {
		wish := testWish()
		wish.Width, wish.Height = tt.width, tt.height
		r, err := tt.art.Inspect(wish)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(r); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		if r.SizeFrom != tt.from || r.Print != tt.print {
			t.Errorf("%s: %+v from %s, want %+v from %s", tt.name, r.Print, r.SizeFrom, tt.print, tt.from)
		}
	}
}

func TestWishRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := map[string]func(*Wish){
		"width":             func(w *Wish) { w.Width = unit.Length(nan) },
		"height":            func(w *Wish) { w.Height = unit.Length(inf) },
		"least stroke":      func(w *Wish) { w.Rules.MinStroke = -1 },
		"soft edge":         func(w *Wish) { w.Rules.SoftEdge = unit.Length(nan) },
		"wanted ppi":        func(w *Wish) { w.Rules.WantedPPI = nan },
		"warning ppi":       func(w *Wish) { w.Rules.WarnPPI = inf },
		"largest size at 0": func(w *Wish) { w.Rules.LargestAt = []float64{0} },
		"polyester share":   func(w *Wish) { w.Blank.Polyester = unit.Share(nan) },
		"0 to 10000 mm":     func(w *Wish) { w.Width = 10_001 },
	}
	art := newArt(PNG, plate(20, 20), meta{orientation: 1})
	for want, spoil := range tests {
		wish := testWish()
		spoil(&wish)
		if _, err := art.Inspect(wish); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q in it", err, want)
		}
	}
}

// Extreme but lawful sizes hold too.
func TestExtremes(t *testing.T) {
	for _, size := range []image.Point{{1, 1}, {1, 3000}, {3000, 1}, {2, 2}} {
		m := image.NewNRGBA(image.Rect(0, 0, size.X, size.Y))
		fill(m, m.Rect, red())
		for _, width := range []unit.Length{0, 0.001, 10_000} {
			wish := testWish()
			wish.Width = width
			r := inspectImage(t, m, wish)
			newArt(PNG, m, meta{orientation: 1}).Draw(r, wish)
		}
	}
}

// Check must see each kind of damage, or it checks nothing.
func TestCheckSeesDamage(t *testing.T) {
	wish := testWish()
	wish.Width = unit.Inches(9)
	tests := map[string]func(*Report){
		"bounds":          func(r *Report) { r.Bounds.X += 300 },
		"no bounds":       func(r *Report) { r.Bounds.Width = 0 },
		"print":           func(r *Report) { r.Print.Height += 1 },
		"ppi":             func(r *Report) { r.EffectivePPI *= 1.1 },
		"ppi not there":   func(r *Report) { r.EffectivePPI = math.NaN() },
		"largest":         func(r *Report) { r.Largest[0].Width++ },
		"shares":          func(r *Report) { r.Solid += 0.01 },
		"negative share":  func(r *Report) { r.Solid, r.Transparent = 1.1, -0.1 },
		"box":             func(r *Report) { r.Box, r.Solid, r.Transparent = true, 0.5, 0.5 },
		"colours":         func(r *Report) { r.Colours[0].Share = 2 },
		"nameless":        func(r *Report) { r.Colours[0].Name = "" },
		"coverage":        func(r *Report) { r.Coverage.M += 0.3 },
		"two toner sets":  func(r *Report) { r.Coverage.K = 0.1; r.OnDark = r.Coverage },
		"white":           func(r *Report) { r.OnLight.White = r.OnDark.White + 0.1 },
		"covered":         func(r *Report) { r.CoveredSquare *= 3 },
		"stroke's place":  func(r *Report) { r.ThinnestStroke = &Spot{MM: 1, X: 0, Y: 0} },
		"stroke's width":  func(r *Report) { s := *r.ThinnestStroke; s.MM = 900; r.ThinnestStroke = &s },
		"specks":          func(r *Report) { r.Specks.SmallestMM = 1 },
		"verdict":         func(r *Report) { r.Verdict = Fits },
		"finding lost":    func(r *Report) { r.Findings = nil },
		"finding twice":   func(r *Report) { r.Findings = append(r.Findings, r.Findings...) },
		"no mend":         func(r *Report) { r.Findings[0].Mend = "" },
		"finding's place": func(r *Report) { r.Findings[0].X = -1 },
		"forecast": func(r *Report) {
			r.Forecast.Swatches = r.Forecast.Swatches[:0:0]
			r.Colours = nil
			r.Forecast.Swatches = make([]colour.Swatch, 2)
		},
	}
	m := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	fill(m, image.Rect(100, 80, 300, 200), red())
	for name, damage := range tests {
		r := inspectImage(t, m, wish)
		damage(&r)
		if Check(r) == nil {
			t.Errorf("%s: not seen", name)
		}
	}
}

// One processor or four, the report and the picture are the same.
func TestSameOnAnyMachine(t *testing.T) {
	m := logo(300, 300) // three bands
	wish := testWish()
	wish.Width = 200
	run := func(processors int) []byte {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		art := newArt(PNG, m, meta{orientation: 1})
		r, err := art.Inspect(wish)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := json.NewEncoder(&b).Encode(r); err != nil {
			t.Fatal(err)
		}
		if err := art.Draw(r, wish).SVG(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	if !bytes.Equal(run(1), run(4)) {
		t.Error("reports differ")
	}
}

// The picture rings and numbers what has a place, and says everything.
func TestDraw(t *testing.T) {
	m := plate(600, 400)
	fill(m, image.Rect(0, 0, 600, 100), color.NRGBA{})
	fill(m, image.Rect(50, 50, 550, 52), red())
	wish := testWish()
	wish.Width = unit.Inches(4)
	art := newArt(PNG, m, meta{orientation: 1})
	r, err := art.Inspect(wish)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := art.Draw(r, wish).SVG(&b); err != nil {
		t.Fatal(err)
	}
	svg := b.String()
	for _, want := range []string{"fits with care", "two-step transfer on black cotton tee", "send a 1,200 px wide file", "the thinnest stroke is", "gold", ">1<", ">2<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("picture lacks %q", want)
		}
	}
	// Two findings, of which one is placed: a ring of two strokes, its badge,
	// and two discs in the legend.
	if got, want := strings.Count(svg, "<circle"), 2+1+2; got != want {
		t.Errorf("%d circles, want %d", got, want)
	}
}

// The art is shown as it is forecast: dye darkened by the blank, a transfer as
// it is, and the blank where nothing is printed.
func TestDrawOnBlank(t *testing.T) {
	m := plate(40, 40)
	fill(m, image.Rect(0, 0, 20, 40), color.NRGBA{})
	fill(m, image.Rect(0, 0, 1, 1), color.NRGBA{255, 214, 0, 255})
	art := newArt(PNG, m, meta{orientation: 1})
	gold := colour.Colour{R: 255, G: 214}
	for name, wish := range map[string]Wish{"transfer": testWish(), "dye": dye(testWish())} {
		wish.Blank = ashPolyester()
		r, err := art.Inspect(wish)
		if err != nil {
			t.Fatal(err)
		}
		want := gold
		if wish.Rules.Dye {
			want = colour.Sublimated(gold, wish.Blank.Colour, wish.Blank.Polyester)
		}
		small := art.onBlank(r, wish, wish.Blank.Colour)
		got := color.NRGBAModel.Convert(small.At(30, 20)).(color.NRGBA)
		if got != (color.NRGBA{want.R, want.G, want.B, 255}) {
			t.Errorf("%s: gold shows as %v, want %v", name, got, want)
		}
		if _, _, _, a := small.At(10, 20).RGBA(); a != 0 {
			t.Errorf("%s: empty part has alpha %d", name, a)
		}
	}
}
