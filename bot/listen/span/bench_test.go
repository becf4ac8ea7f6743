package span

import "testing"

func BenchmarkNew(b *testing.B) {
	base, profile := testBase(b), testProfile(b)
	b.ReportAllocs()
	for b.Loop() {
		New(base, profile)
	}
}

func BenchmarkRead(b *testing.B) {
	reader, now := New(testBase(b), testProfile(b)), testNow(b)
	for _, m := range []struct{ name, text string }{
		{"question", "how long do i wait before the cold peel on a black cotton tee"},
		{"misspelt", "how long do i wiat befor the cold peal on a blakc coton tee"},
		{"order", "24 black cotton tees, 9x7 front and 3.5 left chest, S 4 M 10 L 10, for the village choir, need it by Friday 3pm, art approved"},
	} {
		b.Run(m.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				reader.Read(m.text, now)
			}
		})
	}
}
