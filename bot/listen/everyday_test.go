package listen

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"
)

// mostOrders is how many of a thousand everyday queries may be taken for
// orders. None is one; a shirt that somebody wants to buy or find may look so.
const mostOrders = 1

// Source: S. Larson et al., An evaluation dataset for intent classification
// and out-of-scope prediction, EMNLP-IJCNLP 2019: queries of banking, travel,
// small talk, none of this trade.
func TestEverydayQueriesAreNoOrders(t *testing.T) {
	env, reader := orderEnv(t)
	queries, orders := 0, 0
	for _, file := range []string{"clinc150_in_scope_test.csv", "clinc150_out_of_scope.csv"} {
		f, err := os.Open(filepath.Join("..", "..", "..", "shared", "reference", "text_oos", file))
		if err != nil {
			t.Skip("the queries are not at hand: ", err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[1:] {
			queries++
			if got := ReadOrder(reader.Read(row[1], env.Now), env); got.IsOrder {
				orders++
				t.Logf("%s: %s", row[1], sketch(got))
			}
		}
	}
	t.Logf("%d of %d queries taken for orders", orders, queries)
	if orders*1000 > mostOrders*queries {
		t.Errorf("%d of %d queries taken for orders, want at most %d in a thousand", orders, queries, mostOrders)
	}
}
