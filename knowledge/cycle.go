package knowledge

import (
	"maps"
	"reflect"
	"slices"
	"strings"
)

// cycles reports entries that refer to each other in a ring, and words of a
// lexicon that stand for each other in a ring: whoever follows them never
// arrives.
func (c *checker) cycles() {
	graph := map[string][]string{}
	place := map[string]Pos{}
	c.base.eachEntry(func(section string, e entry) {
		from := section + "/" + e.head().ID
		place[from] = e.head().Pos
		graph[from] = refersTo(reflect.ValueOf(e).Elem(), nil)
	})
	for _, ring := range rings(graph) {
		c.report(place[ring[0]], "cycle", "let one of them stand on its own", "entries refer to each other in a ring: %s", chain(ring))
	}
	for _, group := range c.lexicons() {
		for _, ring := range rings(group.graph) {
			if len(ring) > 1 { // a word may stand for itself
				c.report(group.place[ring[0]], "cycle", "let one of them stand for itself", "words stand for each other in a ring: %s", chain(ring))
			}
		}
	}
}

func chain(ring []string) string {
	return strings.Join(append(slices.Clone(ring), ring[0]), " -> ")
}

// A wordGraph holds what the words of one kind and language stand for.
type wordGraph struct {
	graph map[string][]string
	place map[string]Pos
}

func (c *checker) lexicons() []wordGraph {
	var groups []wordGraph
	at := map[string]int{}
	for _, l := range c.base.Lexicons {
		key := l.Kind + "/" + l.Lang
		i, ok := at[key]
		if !ok {
			i = len(groups)
			at[key] = i
			groups = append(groups, wordGraph{map[string][]string{}, map[string]Pos{}})
		}
		for word, meaning := range l.Words {
			groups[i].graph[word] = []string{meaning}
			groups[i].place[word] = l.Pos
		}
	}
	return groups
}

// refersTo collects the ids that an entry names, as "section/id", from the
// fields tagged ref.
func refersTo(v reflect.Value, out []string) []string {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		inner := v.Field(i)
		if section := field.Tag.Get("ref"); section != "" {
			for _, id := range ids(inner) {
				out = append(out, strings.TrimPrefix(section+"/"+id, "//"))
			}
			continue
		}
		switch {
		case field.Type == reflect.TypeFor[Head]():
		case inner.Kind() == reflect.Struct:
			out = refersTo(inner, out)
		case inner.Kind() == reflect.Slice && inner.Type().Elem().Kind() == reflect.Struct:
			for j := range inner.Len() {
				out = refersTo(inner.Index(j), out)
			}
		}
	}
	return out
}

// ids returns the ids that a field holds: a word, a list, or a map's keys.
func ids(v reflect.Value) []string {
	switch held := v.Interface().(type) {
	case string:
		if held != "" {
			return []string{held}
		}
	case []string:
		return held
	case map[string]int:
		return slices.Sorted(maps.Keys(held))
	}
	return nil
}

// rings returns the rings that a walk along the edges from each node in
// sorted order comes upon, each once, beginning at its least node. It walks
// each edge once (depth-first search with three colours).
func rings(graph map[string][]string) [][]string {
	const (
		open = 1 // on the path
		done = 2
	)
	state := map[string]int{}
	var path []string
	var found [][]string
	var walk func(node string)
	walk = func(node string) {
		state[node] = open
		path = append(path, node)
		for _, next := range graph[node] {
			switch state[next] {
			case open:
				found = append(found, leastFirst(path[slices.Index(path, next):]))
			case 0:
				if graph[next] != nil {
					walk(next)
				}
			}
		}
		path = path[:len(path)-1]
		state[node] = done
	}
	for _, node := range slices.Sorted(maps.Keys(graph)) {
		if state[node] == 0 {
			walk(node)
		}
	}
	return found
}

func leastFirst(ring []string) []string {
	at := slices.Index(ring, slices.Min(ring))
	return append(slices.Clone(ring[at:]), ring[:at]...)
}
