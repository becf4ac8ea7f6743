package span

import (
	"strings"
	"testing"
)

// A Spanish message is read by English words: phrases before words, forms by
// their endings, a colour before its thing, articles and all.
func TestGlossary(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	rows := []struct{ text, want string }{
		{"cuánto espero para despegarla", "how long do i wait for peel"},
		{"se me quemaron las playeras", "scorched the tees"},
		{"24 camisetas negras con logo blanco", "24 black tees with white logo"},
		{"remera blanca de algodon", "white tee of cotton"},
		{"polera verde botella", "dark green tee"},
		{"treinta y cinco tazas", "thirty five mugs"},
		{"de 27,9 x 21,6 cm al frente", "of 27.9 x 21.6 cm on the front"},
		{"1.500 bolsas de tela", "1500 tote bags"},
		{"tallas 10,12,14 para niños", "sizes 10 , 12 , 14 for kid"},
		{"la camista estampda", "the tee print"},
	}
	for _, r := range rows {
		got := reader.Read(r.text, now)
		var words []string
		for _, token := range got.Tokens {
			words = append(words, token.Word)
		}
		if said := strings.Join(words, " "); said != r.want || got.Lang != "es" {
			t.Errorf("%q in %s: %q, not %q", r.text, got.Lang, said, r.want)
		}
	}
}

// What an answer quotes of a Spanish message is what was typed.
func TestGlossaryKeepsText(t *testing.T) {
	got := New(testBase(t), testProfile(t)).Read("24 camisetas negras para la panadería La Espiga", testNow(t))
	for _, kind := range []Kind{Item, Colour} {
		if s := got.Find(kind); len(s) != 1 || s[0].Text != "camisetas negras" {
			t.Errorf("%s: %v", kind, s)
		}
	}
	if s := got.Find(Customer); len(s) != 1 || !strings.HasSuffix(s[0].Text, "panadería La Espiga") {
		t.Errorf("customer: %v", s)
	}
}

// The words of a message tell its language; where they don't, it is the
// conversation's.
func TestLanguage(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	rows := []struct{ text, usual, want string }{
		{"hola buenas tardes", "en", "es"},
		{"no se pega el transfer", "en", "es"},
		{"gracias crack", "en", "es"},
		{"no", "en", "en"},
		{"no", "es", "es"},
		{"24", "es", "es"},
		{"12,50", "es", "es"},
		{"how long for a polo", "es", "en"},
		{"no color on a tee, can i sub it", "en", "en"},
		{"con of dye sublimation", "en", "en"},
		{"2 hoodies for Rosa and Juan", "en", "en"},
		{"the logo is for El Paso", "en", "en"},
	}
	for _, r := range rows {
		if got := reader.ReadTalk(r.usual, r.text, now).Lang; got != r.want {
			t.Errorf("%q in a conversation in %s: %s, not %s", r.text, r.usual, got, r.want)
		}
	}
}
