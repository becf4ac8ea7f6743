package document

import (
	"reflect"
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	allowed := []string{"press", "prepress", "peel", "cool_wait"}
	for word, want := range map[string]string{
		"pres":     "press",
		"perss":    "press", // swapped letters count once
		"pele":     "peel",
		"coolwait": "cool_wait",
		"PEEL":     "peel",
		"margin":   "",
		"":         "",
	} {
		if got := Nearest(word, allowed); got != want {
			t.Errorf("%q: got %q, want %q", word, got, want)
		}
	}
}

func TestSuggest(t *testing.T) {
	if got := Suggest("hto", []string{"hot", "cold"}); got != `write "hot"; allowed: hot, cold` {
		t.Errorf("got %q", got)
	}
	if got := Suggest("hto", nil); got != "" {
		t.Errorf("got %q", got)
	}
}

func TestKey(t *testing.T) {
	type names struct {
		ID, TonerSet, MinL, PolyesterBelow, WhatIf, FirstPage string
		Own                                                   string `key:"mine"`
	}
	want := []string{"id", "toner_set", "min_l", "polyester_below", "what_if", "first_page", "mine"}
	for i, w := range want {
		if got := Key(reflect.TypeFor[names]().Field(i)); got != w {
			t.Errorf("got %q, want %q", got, w)
		}
	}
}

// Columns count characters: a place after wide or accented letters is right.
func TestFind(t *testing.T) {
	f := &File{Name: "a", Data: []byte("é: x\nnote: 日本 10 min\n")}
	got := f.Find(Pos{"a", 2, 7}, func(rest string) bool { return strings.HasPrefix(rest, "10") })
	if want := (Pos{"a", 2, 10}); got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := f.Find(Pos{"a", 1, 1}, func(string) bool { return false }); got != (Pos{"a", 1, 1}) {
		t.Errorf("not found: got %v", got)
	}
	if got := f.Line(2); got != "note: 日本 10 min" {
		t.Errorf("got line %q", got)
	}
	if got := f.Line(9); got != "" {
		t.Errorf("got line %q beyond the end", got)
	}
}

func TestMoreProblems(t *testing.T) {
	f := &File{Name: "a"}
	for range MostProblems + 50 {
		f.Report(Pos{"a", 1, 1}, "x", "", "bad")
	}
	if n := len(f.Problems); n != MostProblems+1 || f.Problems[n-1].Rule != "more" {
		t.Errorf("got %d problems, the last %+v", n, f.Problems[n-1])
	}
}

func TestSort(t *testing.T) {
	ps := Problems{
		{Pos: Pos{"b", 1, 1}, Message: "x"}, {Pos: Pos{"a", 2, 1}, Message: "x"}, {Pos: Pos{"a", 1, 9}, Message: "y"},
		{Pos: Pos{"a", 1, 9}, Message: "x"}, {Pos: Pos{"a", 1, 9}, Message: "x"},
	}.Sort()
	var got []string
	for _, p := range ps {
		got = append(got, p.Pos.String()+p.Message)
	}
	if s := strings.Join(got, " "); s != "a:1:9x a:1:9y a:2:1x b:1:1x" {
		t.Errorf("got %s", s)
	}
}
