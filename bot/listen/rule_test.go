package listen

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/planner/unit"
)

// TestShopRules reads what owners say of their own settings: shop talk, common
// practice, no source.
func TestShopRules(t *testing.T) {
	l, env := listener(t)
	f := func(x float64) float64 { return unit.Fahrenheit(x).C() }
	set := func(changes ...Change) Wish { return Wish{Do: WishSet, Changes: changes} }
	press := func(s Setting) Wish { return set(Change{"press", s}) }
	because := func(w Wish, why string) Wish { w.Why = why; return w }
	tests := []struct {
		text           string
		want           Wish
		blank, methods string
	}{
		{"for our mugs: 390 F 200 s medium", press(Setting{f(390), 200, "medium", "F"}), "mug", ""},
		{"For our mugs, 390F / 200s", press(Setting{f(390), 200, "", "F"}), "mug", ""},
		{"for mugs: 390 F 200 s", press(Setting{f(390), 200, "", "F"}), "mug", ""},
		{"we press tees at 300", press(Setting{f(300), 0, "", "F"}), "tee", ""},
		{"our mug press is 390", press(Setting{f(390), 0, "", "F"}), "mug", ""},
		{"our sublimation mugs go 200 seconds at 390", press(Setting{f(390), 200, "", "F"}), "mug", "sublimation"},
		{"for our mugs 199C 200s", press(Setting{199, 200, "", "C"}), "mug", ""},
		{"from now on we press totes at 295 F, light pressure", press(Setting{f(295), 0, "light", "F"}), "tote-bag", ""},
		{"heavy pressure on our mugs", press(Setting{Pressure: "firm"}), "mug", ""},
		{"set the mug press time to 200 s", press(Setting{Time: 200}), "mug", ""},
		{"press our mugs 3 1/2 minutes", press(Setting{Time: 210}), "mug", ""},
		{"pre-press hoodies 8 s", set(Change{"prepress", Setting{Time: 8}}), "hoodie", ""},
		{"our hoodies get 8 seconds of pre-press", set(Change{"prepress", Setting{Time: 8}}), "hoodie", ""},
		{"for our hoodies: pre-press 8 s, press 300 F 25 s medium, finish 15 s",
			set(Change{"prepress", Setting{Time: 8}}, Change{"press", Setting{f(300), 25, "medium", "F"}}, Change{"finish", Setting{Time: 15}}), "hoodie", ""},
		{"our finish press is 15 s", set(Change{"finish", Setting{Time: 15}}), "", ""},
		{"our two-step peel wait is 8 min", set(Change{"cool", Setting{Time: 480}}), "", "two-step-transfer"},
		{"our cool peel is 8 minutes", set(Change{"cool", Setting{Time: 480}}), "", ""},
		{"we press mugs at 390 because the glaze yellows", because(press(Setting{f(390), 0, "", "F"}), "the glaze yellows"), "mug", ""},
		{"for our jerseys: 280-290 F", Wish{Do: WishSet, Hitch: HitchRange, Changes: []Change{{"press", Setting{f(280), 0, "", "F"}}}}, "jersey", ""},
		{"we press tees and hoodies at 300", Wish{Do: WishSet, Hitch: HitchSeveral, Changes: []Change{{"press", Setting{f(300), 0, "", "F"}}}}, "tee", ""},
		{"we press cotton and poly at 300", Wish{Do: WishSet, Hitch: HitchSeveral, Changes: []Change{{"press", Setting{f(300), 0, "", "F"}}}}, "", ""},
		{"for our mugs: 390 F. temp for tiles", Wish{Do: WishSet, Hitch: HitchSeveral, Changes: []Change{{"press", Setting{f(390), 0, "", "F"}}}}, "mug", ""},
		{"we press light pink tees at 300", Wish{Do: WishSet, Hitch: HitchFiner, Changes: []Change{{"press", Setting{f(300), 0, "", "F"}}}}, "tee", ""},
		{"our youth tees are 300 F", press(Setting{f(300), 0, "", "F"}), "youth-tee", ""},
		{"cover sheet on poly: parchment", Wish{Do: WishSet, Note: "Cover sheet: parchment."}, "", ""},
		{"note for mugs: use the felt pad!", Wish{Do: WishSet, Note: "Use the felt pad."}, "mug", ""},
		{"save the rule: for our mugs: 390 F", Wish{Do: WishSave, Changes: []Change{{"press", Setting{f(390), 0, "", "F"}}}}, "mug", ""},
		{"undo the mug rule", Wish{Do: WishUndo}, "mug", ""},
		{"undo shop rule 3", Wish{Do: WishUndo, Number: 3}, "", ""},
		{"shop rules", Wish{Do: WishList}, "", ""},
		{"what are our shop rules?", Wish{Do: WishList}, "", ""},
		{"open requests", Wish{Do: WishRequests}, "", ""},
		{"accept request 3", Wish{Do: WishAccept, Number: 3}, "", ""},
		{"withdraw request 3", Wish{Do: WishRefuse, Number: 3}, "", ""},
	}
	for _, tt := range tests {
		a := l.Listen(tt.text, Memory{}, env.Now).Asks[0]
		if a.Wish == nil {
			t.Errorf("%q: taken for %s/%s", tt.text, a.Topic, a.What)
			continue
		}
		if diff := cmp.Diff(tt.want, *a.Wish); diff != "" {
			t.Errorf("%q (-want +got):\n%s", tt.text, diff)
		}
		if a.Subject.Blank != tt.blank || tt.methods != "" && !cmp.Equal(a.Subject.Methods, []string{tt.methods}) {
			t.Errorf("%q is for %q %v", tt.text, a.Subject.Blank, a.Subject.Methods)
		}
	}
}

// TestNoShopRules: a question, a complaint, an order, a wait or what was done
// once changes nothing.
func TestNoShopRules(t *testing.T) {
	l, env := listener(t)
	for _, text := range []string{
		"is 390 F ok for our mugs", "we press tees at 300, right?", "what temp for our mugs", "our mugs", "we marry tees at 300 for 90 s, correct",
		"we press tees at 300 and it scorches", "we pressed tees at 300", "I pressed a tee at 300 for 20 s and it lifts",
		"we don't press nylon at 300", "our transfers lift at 300", "tees at 300", "settings for our hoodies",
		"10 minute wait for our mugs", "start a 5 min wait", "set a timer for 10 min", "give it 5 minutes more",
		"24 black tees 9x7 front", "make it 48", "our tees: 24 navy, 9x7 front", "press 300 tees",
		"press black polyester tees at 280",
		"385 f in c", "press cotton at 310 for 30, ok?", "undo that", "yes", "keep it", "leave it", "rules of football",
		"save 10 dollars", "our rent is 300", "we are open at 9", "accept order 3",
	} {
		if a := l.Listen(text, Memory{}, env.Now).Asks[0]; a.Wish != nil {
			t.Errorf("%q is taken for %+v", text, *a.Wish)
		}
	}
}

// What was proposed waits for a yes or a no, with or without a reason; anything
// else means something else, and never the rule.
func TestShopRuleConsent(t *testing.T) {
	l, env := listener(t)
	proposed := l.Listen("for our mugs: 390 F", Memory{}, env.Now).Asks[0]
	tests := []struct {
		text string
		do   WishKind
		why  string
	}{
		{"yes", WishSave, ""}, {"ok", WishSave, ""}, {"Yes!", WishSave, ""}, {"save it", WishSave, ""},
		{"yes, because the glaze yellows", WishSave, "the glaze yellows"},
		{"save the rule: for our mugs: 390 F", WishSave, ""},
		{"no", WishDrop, ""}, {"leave it", WishDrop, ""}, {"cancel", WishDrop, ""},
		{"temp for tiles", "", ""}, {"hoodies", "", ""}, {"yes and 24 black tees 9x7", "", ""}, {"50/50", "", ""},
	}
	for _, tt := range tests {
		a := l.Listen(tt.text, Memory{Pending: &proposed, Missing: "consent"}, env.Now).Asks[0]
		switch {
		case a.Wish == nil && tt.do != "":
			t.Errorf("%q: taken for %s/%s, want %s", tt.text, a.Topic, a.What, tt.do)
		case a.Wish == nil:
		case a.Wish.Do != tt.do || a.Wish.Why != tt.why:
			t.Errorf("%q: %s because %q, want %q because %q", tt.text, a.Wish.Do, a.Wish.Why, tt.do, tt.why)
		case tt.do == WishSave && !a.SameAs(proposed):
			t.Errorf("%q agrees to something else: %+v", tt.text, a.Wish)
		}
	}
	other := l.Listen("save the rule: for our mugs: 395 F", Memory{Pending: &proposed}, env.Now).Asks[0]
	if other.SameAs(proposed) {
		t.Error("a button of another proposal agrees to this one")
	}
	if a := l.Listen("undo that", Memory{Rule: 3}, env.Now).Asks[0]; a.Wish == nil || a.Wish.Number != 3 {
		t.Errorf("undo that, with a rule spoken of: %+v", a)
	}
}
