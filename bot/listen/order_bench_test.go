package listen

import "testing"

// BenchmarkReadOrder reads a message and builds its order.
func BenchmarkReadOrder(b *testing.B) {
	env, reader := orderEnv(b)
	text := "24 black cotton tees, 9x7 front and 3.5 left chest, S 4 M 10 L 10, for the village choir, need it by Friday 3pm, art approved"
	b.ReportAllocs()
	for b.Loop() {
		ReadOrder(reader.Read(text, env.Now), env)
	}
}
