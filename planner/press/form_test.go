package press_test

import (
	"bytes"
	"encoding/json"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/planner/press"
	"presshand/planner/unit"
)

// The form promised to scripts.
func TestJSON(t *testing.T) {
	p := one(t, 3, twoStep())
	plan := solve(t, p)
	data, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Start, Finish time.Time
		Makespan      int64 `json:"makespan_s"`
		AtLeast       int64 `json:"at_least_s"`
		Changeovers   int
		Late          []struct {
			Order string
			By    int64 `json:"by_s"`
		}
		Steps []struct {
			ID, Order, Step    string
			Line, Piece, Sheet int
			From, To           time.Time
			Uses               []struct {
				Resource string
				Amount   int
				From, To time.Time
			}
			After []struct {
				Step string
				Wait int64 `json:"wait_s"`
			}
		}
		Resources []struct {
			Name     string
			Capacity int
		}
	}
	in := json.NewDecoder(bytes.NewReader(data))
	in.DisallowUnknownFields()
	if err := in.Decode(&got); err != nil {
		t.Fatal(err)
	}
	if got.Late == nil || got.Makespan != int64(plan.Makespan/time.Second) || len(got.Steps) != len(plan.Steps) {
		t.Errorf("late %v, makespan %d, %d steps", got.Late, got.Makespan, len(got.Steps))
	}
	ids := map[string]bool{}
	for _, s := range got.Steps {
		ids[s.ID] = true
	}
	for _, s := range got.Steps {
		for _, a := range s.After {
			if !ids[a.Step] {
				t.Errorf("%s comes after %q, which is not there", s.ID, a.Step)
			}
		}
		if s.Step == "peel" && (len(s.After) != 2 || s.After[1].Wait != 600 || !strings.HasPrefix(s.After[1].Step, "A.1.press.")) {
			t.Errorf("%s comes after %v, want 600 s after its press step", s.ID, s.After)
		}
	}
	for _, id := range []string{"A.1.print.1", "A.1.marry.2", "A.1.pull.3", "A.1.cut.1", "A.1.prepress.3", "A.1.press.3", "A.1.cool.3", "A.1.peel.3", "A.1.finish.3", "A.1.check.3"} {
		if !ids[id] {
			t.Errorf("no step %s", id)
		}
	}
	if !strings.Contains(string(data), `"from":"2026-11-23T09:00:00-05:00"`) {
		t.Error("times don't carry the shop's offset")
	}
}

// Same input, same plan, byte for byte, on any number of processors.
func TestSamePlan(t *testing.T) {
	p := readDay(t, "testdata/days/sublimation.json")
	p.Effort = 3
	var first []byte
	for _, n := range []int{1, 4} {
		old := runtime.GOMAXPROCS(n)
		data, err := json.Marshal(solve(t, p))
		runtime.GOMAXPROCS(old)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = data
		}
		if !bytes.Equal(first, data) {
			t.Errorf("another plan on %d processors", n)
		}
	}
}

func TestRunList(t *testing.T) {
	p := one(t, 1, twoStep())
	p.Orders[0].Jobs[0].Item = "shirt"
	p.Shop.Presses = p.Shop.Presses[1:2]
	p.Shop.People = p.Shop.People[:1]
	want := []string{
		"Mon 23 Nov",
		"09:00 printer 1: print A sheet 1",
		"09:00 press 1: set to 154 °C (310 °F)",
		"09:16 press 1: marry A sheet 1, person 1",
		"09:18 press 1: take off A sheet 1, person 1",
		"09:18 person 1: pull the adhesive sheet off A sheet 1, hot, at once",
		"09:18 person 1: cut A sheet 1",
		"09:19 press 1: load A shirt 1, person 1",
		"09:19 press 1: lay the transfer and press A shirt 1, person 1",
		"09:20 press 1: take off A shirt 1, person 1",
		"09:30 person 1: peel A shirt 1",
		"09:30 press 1: finish A shirt 1, person 1",
		"09:31 press 1: take off A shirt 1, person 1",
		"09:31 person 1: check A shirt 1",
	}
	if diff := cmp.Diff(want, press.RunList(solve(t, p), unit.Style{})); diff != "" {
		t.Error(diff)
	}
}

// The picture must be drawn for any plan and show what it is for.
func TestDraw(t *testing.T) {
	for _, p := range []press.Problem{one(t, 10, twoStep()), readDay(t, "testdata/days/half-and-half.json")} {
		p.Effort = 1
		plan := solve(t, p)
		var svg bytes.Buffer
		if err := press.Draw(plan).SVG(&svg); err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"press 1", "person 2", "rack", plan.Finish.Format("Mon 2 Jan 15:04")} {
			if !strings.Contains(svg.String(), want) {
				t.Errorf("picture of %d orders doesn't show %q", len(p.Orders), want)
			}
		}
	}
	if w, h := press.Draw(press.Plan{}).Size(); w < 1 || h < 1 {
		t.Error("no picture of an empty plan")
	}
}
