package price_test

import (
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v3"

	"presshand/planner/price"
)

// A worked order is a problem and what its head comment works out by hand,
// step by step. The figures were worked with a pocket calculator's arithmetic
// from the comments, not with this package.
type workedWant struct {
	PriceEach    []string                  `yaml:"price_each"`
	PriceTotal   []string                  `yaml:"price_total"`
	Cost         map[string]string         `yaml:"cost"`
	Subtotal     string                    `yaml:"subtotal"`
	Setup        string                    `yaml:"setup"`
	Rush         string                    `yaml:"rush"`
	MinimumTopup string                    `yaml:"minimum_topup"`
	Discount     string                    `yaml:"discount"`
	CardFee      string                    `yaml:"card_fee"`
	Tax          string                    `yaml:"tax"`
	Total        string                    `yaml:"total"`
	Make         int                       `yaml:"make"`
	Sheets       int                       `yaml:"sheets"`
	ValidUntil   string                    `yaml:"valid_until"`
	Breaks       map[int]string            `yaml:"breaks"`
	Fall         string                    `yaml:"fall"`
	Profit       string                    `yaml:"profit"`
	PerPressHour string                    `yaml:"profit_per_press_hour"`
	SpareBlanks  map[string]map[string]int `yaml:"spare_blanks"`
	ChanceBlanks float64                   `yaml:"chance_blanks"`
	AskSpare     int                       `yaml:"ask_spare"`
	ChanceTheirs float64                   `yaml:"chance_theirs"`
}

// loadOrder reads one worked order; its rates replace the shop's entries.
func loadOrder(t *testing.T, path string) (price.Problem, workedWant) {
	t.Helper()
	order := readYAML(t, path)
	rates := readYAML(t, filepath.Join("testdata", "shop.yaml"))
	if own, ok := order["rates"].(map[string]any); ok {
		maps.Copy(rates, own)
	}
	order["rates"] = rates
	want := order["want"]
	delete(order, "want")
	data, err := json.Marshal(order)
	if err != nil {
		t.Fatal(err)
	}
	var p price.Problem
	dec := json.NewDecoder(strings.NewReader(string(data)))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	p.Now = time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	var w workedWant
	again, err := yaml.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	strict := yaml.NewDecoder(strings.NewReader(string(again)))
	strict.KnownFields(true)
	if err := strict.Decode(&w); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return p, w
}

func readYAML(t *testing.T, path string) map[string]any {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]any{}
	if err := yaml.Unmarshal(data, &out); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return out
}

// got writes a plan in the terms of the worked figures; what the working does
// not state is left empty, money that is zero apart.
func got(plan price.Plan, want workedWant) workedWant {
	f := plan.Currency.Format
	or := func(d, wanted string) string {
		if wanted == "" && (d == f(plan.Tax.Sub(plan.Tax))) {
			return ""
		}
		return d
	}
	g := workedWant{
		Cost: map[string]string{
			"blanks": f(plan.Cost.Blanks), "sheets": f(plan.Cost.Sheets), "toner": f(plan.Cost.Toner), "labour": f(plan.Cost.Labour),
			"machine": f(plan.Cost.Machine), "energy": f(plan.Cost.Energy), "spoilage": f(plan.Cost.Spoilage), "overhead": f(plan.Cost.Overhead),
		},
		Subtotal: f(plan.Subtotal), Setup: or(f(plan.Setup), want.Setup), Rush: or(f(plan.Rush), want.Rush),
		MinimumTopup: or(f(plan.MinimumTopup), want.MinimumTopup), Discount: or(f(plan.Discount), want.Discount),
		CardFee: or(f(plan.CardFee), want.CardFee), Tax: or(f(plan.Tax), want.Tax), Total: f(plan.Total),
		Make: plan.Make, Sheets: plan.Sheets, Fall: strings.TrimSuffix(plan.FallText(), ".\n"),
	}
	for _, l := range plan.Lines {
		g.PriceEach, g.PriceTotal = append(g.PriceEach, f(l.PriceEach)), append(g.PriceTotal, f(l.PriceTotal))
		g.AskSpare += l.AskSpare
		if want.ChanceTheirs != 0 {
			g.ChanceTheirs = math.Round(l.ChanceTheirs*1e6) / 1e6
		}
	}
	for _, b := range plan.Breaks {
		if g.Breaks == nil {
			g.Breaks = map[int]string{}
		}
		g.Breaks[b.Quantity] = f(b.PriceEach)
	}
	if want.ValidUntil != "" {
		g.ValidUntil = plan.ValidUntil
	}
	if want.Profit != "" {
		g.Profit, g.PerPressHour = f(plan.Profit), f(plan.ProfitPerPressHour)
	}
	if want.SpareBlanks != nil {
		g.SpareBlanks = map[string]map[string]int{"by size": sizesOf(plan.Spares.BySize), "two commonest": sizesOf(plan.Spares.Commonest)}
		charged := plan.Spares.BySize
		if plan.Spares.Rule == price.Commonest {
			charged = plan.Spares.Commonest
		}
		g.ChanceBlanks = math.Round(charged.ChanceEnough*1e6) / 1e6
	}
	return g
}

func sizesOf(s price.SpareBlanks) map[string]int {
	out := map[string]int{}
	for _, one := range s.Sizes {
		out[one.Size] = one.Count
	}
	return out
}

func TestWorkedOrders(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join("testdata", "orders", "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) < 12 {
		t.Fatalf("%d worked orders, want at least 12", len(paths))
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) {
			p, want := loadOrder(t, path)
			if diff := cmp.Diff(want, got(solved(t, p), want)); diff != "" {
				t.Errorf("worked by hand (-), by the package (+):\n%s", diff)
			}
		})
	}
}

// The JSON form is the one that scripts rely on: key by key, money as strings.
func TestQuoteForm(t *testing.T) {
	p, _ := loadOrder(t, filepath.Join("testdata", "orders", "07-table-breaks-and-a-fall.yaml"))
	p.ReadyAt = time.Date(2026, 11, 27, 15, 10, 0, 0, time.FixedZone("", -5*3600))
	data, err := json.Marshal(solved(t, p))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"currency":"USD","lines":[{"quantity":22,"method":"two-step-transfer","price_each":"8.05","price_total":"177.10"}],` +
		`"cost":{"blanks":"44.00","sheets":"42.90","toner":"0.00","labour":"17.60","machine":"1.65","energy":"0.00","spoilage":"0.00","overhead":"0.00"},` +
		`"subtotal":"177.10","setup":"0.00","rush":"0.00","minimum_topup":"0.00","discount":"8.86","card_fee":"0.00","tax":"0.00",` +
		`"total":"168.24","breaks":[{"quantity":12,"price_each":"7.65"},{"quantity":24,"price_each":"6.84"}],"sheets":22,"make":22,` +
		`"ready_at":"2026-11-27T15:10:00-05:00","valid_until":"2026-12-25"}`
	if diff := cmp.Diff(want, string(data)); diff != "" {
		t.Error(diff)
	}
	empty, err := json.Marshal(solved(t, teeOrder()))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(empty), `"breaks":[]`) {
		t.Errorf("no breaks are not written as []: %s", empty)
	}
}

// The head comment of each order states the total that "want" states.
func TestWorkedOrdersShowTheirWorking(t *testing.T) {
	paths, _ := filepath.Glob(filepath.Join("testdata", "orders", "*.yaml"))
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		_, want := loadOrder(t, path)
		var comment strings.Builder
		steps := 0
		for line := range strings.Lines(string(data)) {
			if strings.HasPrefix(line, "#") {
				comment.WriteString(line)
				steps += strings.Count(line, " = ")
			}
		}
		if steps < 3 || !strings.Contains(comment.String(), want.Total) {
			t.Errorf("%s: the head comment holds %s steps and must end in the total %s", path, strconv.Itoa(steps), want.Total)
		}
	}
}
