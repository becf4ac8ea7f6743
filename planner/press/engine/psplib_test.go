// Source: R. Kolisch, A. Sprecher, PSPLIB - a project scheduling problem
// library, European Journal of Operational Research 96(1), 1997, 205-216; best
// known values as kept by the library (j30: all optimal; j60: 462 of 480
// proven).
package engine_test

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"presshand/planner/press/engine"
)

var full = flag.Bool("full", false, "run all published instances, not a sample")

// reference finds a folder of published data, or skips.
func reference(t *testing.T, folder string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		if dir == filepath.Dir(dir) {
			t.Skip("no module root above")
		}
		dir = filepath.Dir(dir)
	}
	path := filepath.Join(dir, "..", "shared", "reference", folder)
	if _, err := os.Stat(path); err != nil {
		t.Skip("published data not here: ", folder)
	}
	return path
}

func readLines[T any](t *testing.T, path string) []T {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<24)
	var out []T
	for lines.Scan() {
		var x T
		if err := json.Unmarshal(lines.Bytes(), &x); err != nil {
			t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

func readTable(t *testing.T, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) int64 {
	t.Helper()
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// A project as the library has it, activities counted from 1.
type project struct {
	Name       string
	Capacity   []int
	Duration   []int64
	Request    [][]int
	Successors [][]int
}

func (j *project) problem() *engine.Problem {
	p := &engine.Problem{}
	for _, c := range j.Capacity {
		p.Resources = append(p.Resources, engine.Resource{Capacity: c})
	}
	for i, d := range j.Duration {
		part := engine.Part{Length: d}
		for r, n := range j.Request[i] {
			if n > 0 {
				part.Uses = append(part.Uses, engine.Use{Resource: r, Amount: n, To: d})
			}
		}
		p.Activities = append(p.Activities, engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{part}}}})
	}
	for i, list := range j.Successors {
		for _, k := range list {
			p.Activities[k-1].After = append(p.Activities[k-1].After, engine.Link{Pred: i, Part: -1})
		}
	}
	return p
}

func TestPublishedProjects(t *testing.T) {
	rows := []struct {
		set   string
		limit float64 // largest average gap to best known
		every int     // of the normal run
	}{{"j30", 0.003, 40}, {"j60", 0.015, 60}}
	for _, row := range rows {
		t.Run(row.set, func(t *testing.T) {
			dir := reference(t, "rcpsp_psplib")
			best := map[string]map[string]string{}
			for _, m := range readTable(t, filepath.Join(dir, row.set+"_best_known.csv")) {
				best[m["instance"]] = m
			}
			rows := table{set: "projects " + row.set, budget: row.limit}
			for i, j := range readLines[project](t, filepath.Join(dir, row.set+".jsonl")) {
				if !*full && i%row.every != row.every/2 {
					continue
				}
				p := j.problem()
				r, err := engine.Solve(p, engine.Options{Steps: engine.DefaultSteps})
				if err != nil {
					t.Fatal(j.Name, err)
				}
				checkSchedule(t, p, &r.Schedule)
				known, lower := number(t, best[j.Name]["best_known"]), number(t, best[j.Name]["lower_bound"])
				end := r.Schedule.Score.End
				if end < lower || r.AtLeast > known {
					t.Fatalf("%s: %d at least %d, proven %d to %d", j.Name, end, r.AtLeast, lower, known)
				}
				rows.add(end, known)
			}
			rows.report(t)
		})
	}
}
