package listen

import (
	"slices"
	"strings"
	"testing"
)

// oneQuestion holds messages of one question or order each, with commas, "and"
// and full stops in them: as staff talk, common practice, no source.
var oneQuestion = []string{
	"what temp and how long for a black cotton tee",
	"red hoodie, 80/20, white logo on the back, what settings",
	"can i press over a seam, or does it need a pad",
	"the print cracked, why",
	"24 black cotton tees, 9x7 front, and 12 navy hoodies, 9x7 front",
	"quote 30 white poly tees, full front, and can you have them by friday",
	"colors look dull and washed out on a mug, whats wrong",
	"transfer lifts at the corners and the edges feel stiff, what did i do wrong",
	"we subbed a cotton shirt, it washed out, why",
	"is it ok to leave the press on and go to lunch",
	"navy and gold logo on a white poly jersey, which method",
	"shirt is 60 cotton, 40 poly, can i sub it",
	"whats the difference between cold peel and hot peel",
	"difference between two step and sublimation",
	"hey, hope youre good, how long do i cool a transfer",
	"ok so, mug press, how hot",
	"customer wants a photo on a slate, which method",
	"grey heather tee, two step, pressure?",
	"ghosting on a white mug, blue shadow around the letters and the text is doubled",
	"does the white toner go first, or last",
	"9 x 7 in, how much is that in mm",
	"wash inside out, cold, no bleach, is that right for transfers",
	"how many 3 inch and 4 inch logos fit a letter sheet",
	"the kid's tee, size 4, how wide for the front",
	"jacket is nylon, with a lining, safe to press?",
	"we peel cold, right?",
	"someone left the mug in the press and went home, is it ruined",
	"printer says low toner, and i only need two more sheets, can i go on",
	"paper is stuck to the shirt and wont come off",
	"how do i clean adhesive off the platen, it's burnt on",
	"do you know if, on a tri blend, the dye holds",
	"the white is yellow, like burnt, after 60 seconds at 320",
	"why is it that light colors and skin tones look grainy",
	"i need 12 tees and 6 hoodies, black, 10 inch front",
	"left chest and full back, black hoodie, 20 pieces, cotton",
	"polyester jersey, dark red, white numbers, bleed?",
	"please, whats the wait before i peel, thanks",
	"when the sheet comes out curled, what do i do",
	"the sheet and the adhesive paper, which goes on top",
	"press and peel and press again, is that the order for two step?",
	"cotton canvas tote, natural colour, toner transfer, how hot",
	"what happens if its pressed too hot and too long",
	"why does sublimation need polyester and not cotton",
	"how far down from the collar, adult large, full front",
	"hat, polyester front, mesh back, can we sub it",
	"customer says it peeled after two washes, she washed it hot, do we redo it",
	"32 hoodies, 80/20, grey, left chest 3.5 in, when would they be done",
	"a tee and a hoodie press differently, why",
	"how many spare shirts should i order, if i need 50",
	"i printed the sheet yesterday, can i still press it",
	"thanks, and good night",
	"for our mugs: 390 F, 200 s, medium",
	"can we print on leather, and i mean real leather",
	"white tee, 100% cotton, photo of a dog, they want it soft, what method",
	"do i need a cover sheet between the platen and the shirt",
	"explain cold peel to me, like im new",
	"toner smears and rubs off with a finger, sheet not even pressed",
	"which is cheaper, sub or two step",
	"200 c and 60 sec for sub on polyester, does that sound right",
	"mug is black with a white patch, can i sub the patch",
	"the mug came out faded at the handle, is it because the press was cold",
	"marry time and temperature",
	"stainless bottle, naked metal, no coating of any sort. full wrap photo?",
	"not cotton, its polyester. white. can i sub it then",
}

// severalQuestions holds messages with the topic of each of their questions,
// "*" where more than one would do.
var severalQuestions = map[string]string{
	"how hot for a mug and do i mirror it":                                   "setting print",
	"do i flip the art for transfers and how long til i peel":                "print wait",
	"first wash when? tumble dry ok?":                                        "care",
	"which toner for sub, and how do i swap it":                              "print steps",
	"1. press temp nylon 2. press time mug":                                  "setting setting",
	"1) can i sub 50/50 2) left chest width":                                 "method placement",
	"a) how wide is a full front b) how far below the collar":                "placement placement",
	"how long to cool + do i finish press after":                             "wait *",
	"320 f in c, 9 in in cm":                                                 "convert convert",
	"385 f in c and 310 f in c":                                              "convert convert",
	"whats a platen and whats a dwell":                                       "term term",
	"temp for mugs and tiles":                                                "setting setting",
	"how hot for cotton and for nylon":                                       "setting setting",
	"white mug, black mug - can i sub both":                                  "method method",
	"can i sub black cotton and white polyester":                             "method method",
	"what method for a navy cotton hoodie and for a white mug":               "method method",
	"press time for a mug? and for a tile?":                                  "setting setting",
	"pre press for cotton, and for polyester?":                               "setting setting",
	"what size for a left chest and a full back":                             "placement placement",
	"how long before i peel, also whats the finish press":                    "wait setting",
	"when can they wash it plus is bleach ok":                                "care",
	"transfer wont stick to nylon. also what wait before i peel":             "fault wait",
	"black cotton tee, how hot, and how long til i peel":                     "setting wait",
	"white poly tee. sub or transfer? and what temp":                         "method setting",
	"is 150 dpi enough, and do they need a png":                              "art art",
	"how many 4x4 logos fit a letter sheet? and how many spares for 24 tees": "* *",
	"is the press safe for kids and what do i do about a burn":               "* *",
	"what pressure is firm? can i press over a zipper":                       "* *",
	"can we print on felt? what about leather?":                              "method method",
	"hoodie sleeve print: how wide, and which way does it read":              "placement placement",
	"should i prewash the tee, and how long do i prepress":                   "* setting",
	"print cracked in the wash, why? do we owe her a new one":                "fault *",
	"who pays if we scorch a customers shirt, and can the scorch come out":   "* fault",
	"how long do toner prints last & can they be ironed":                     "* care",
	"where does a name go on a back and how tall is it":                      "placement placement",
	"steps for a mug and how hot":                                            "steps setting",
	"how long does a transfer last, and sub?":                                "* *",
	"min order? rush fee?":                                                   "quote quote",
	"do we do rush jobs, and what does setup cost":                           "* quote",
	"what's the widest front print and will it fit an xs":                    "placement *",
	"mirror for sub? mirror for two step?":                                   "print print",
	"can i stack hot shirts, and how soon can they ship":                     "* *",
	"is acetate ok to press; what about acrylic":                             "* *",
	"faded after one wash. can i re press it":                                "fault *",
	"which toner for a white sub tee, and is it mirrored":                    "print print",
	"whats the melting point of polyester? of nylon?":                        "* *",
	"how much poly do i need to sub? and do heathers bleed":                  "* *",
	"does vinyl melt, and are the fumes bad":                                 "* safety",
	"a que temperatura va la taza? y la imprimo al reves?":                   "setting print",
	"cuanto espero para despegar y cuando se puede lavar":                    "wait care",
	"new guy here. how do i load the transfer paper, and do i mirror it":     "* print",
	"got a lilac poly polo, white text. method? temp?":                       "method setting",
	"cotton hoodie, 2 step - temp, and peel wait?":                           "setting wait",
	"leaving the press on overnight ok?? also whats the temp for slate":      "safety setting",
	"how thick can a blank be. how do i check for cold spots":                "* *",
	"thx! one more, how hot for a keychain, and do i flip the image":         "setting print",
	"hi there! is parchment ok as a cover and can i reuse it":                "* *",
	"how hot for tote bags, then how long to cool, then when can i wash it":  "setting wait care",
	"whats the wait? do i mirror? what washes off":                           "wait print *",
	"can you sub wood, and can you sub glass":                                "method method",
	"two step on a beanie, ok? what temp, and do i take the tag out":         "method setting care",
	"need temps for 100 cotton, 50/50, and 100 poly":                         "setting setting setting",
	"what temp for a hoodie? also a beanie? also a mug?":                     "setting setting setting",
}

// What was reached, bounds for what comes: the model that weighs topics is learnt
// anew now and then.
const (
	mostCut     = 3
	mostUnheard = 10
)

// TestOneQuestion holds that one question with commas and joining words in it
// stays one.
func TestOneQuestion(t *testing.T) {
	l, env := listener(t)
	wrong := 0
	for _, text := range oneQuestion {
		if got := l.Listen(text, Memory{}, env.Now).Asks; len(got) != 1 {
			wrong++
			t.Logf("%q: %s", text, topicsOf(got))
		}
	}
	t.Logf("%d of %d kept whole", len(oneQuestion)-wrong, len(oneQuestion))
	if wrong > mostCut {
		t.Errorf("%d messages of one question are cut, more than %d", wrong, mostCut)
	}
}

// TestSeveralQuestions holds that each question of a message is heard.
func TestSeveralQuestions(t *testing.T) {
	l, env := listener(t)
	wrong := 0
	for text, want := range severalQuestions {
		got := l.Listen(text, Memory{}, env.Now).Asks
		fits := slices.EqualFunc(got, strings.Fields(want), func(a Ask, topic string) bool {
			return a.Topic == topic || topic == "*" && a.Topic != "none"
		})
		if !fits {
			wrong++
			t.Logf("%q: %s, want %s", text, topicsOf(got), want)
		}
	}
	t.Logf("%d of %d heard", len(severalQuestions)-wrong, len(severalQuestions))
	if wrong > mostUnheard {
		t.Errorf("%d messages of several questions are not heard in full, more than %d", wrong, mostUnheard)
	}
}

func topicsOf(asks []Ask) string {
	out := make([]string, len(asks))
	for i, a := range asks {
		out[i] = strings.Trim(a.Topic+"/"+a.What+a.Entry.ID, "/")
	}
	return strings.Join(out, " ")
}

// TestAbout holds what each question of a message is about: what is told before
// it, the thing that is named again, one of several things side by side.
func TestAbout(t *testing.T) {
	l, env := listener(t)
	type about struct {
		topic, item, fibre string
		methods            int
	}
	for text, want := range map[string][]about{
		"temp for mugs and tiles":                                    {{"setting", "mug", "", 0}, {"setting", "tile", "", 0}},
		"max heat for polyester and max heat for nylon":              {{"setting", "", "polyester", 0}, {"setting", "", "nylon", 0}},
		"black cotton tee, how hot, and how long til i peel":         {{"setting", "tee", "cotton", 0}, {"wait", "tee", "cotton", 0}},
		"can i sub a black cotton tee? and what temp":                {{"method", "tee", "cotton", 1}, {"setting", "tee", "cotton", 0}}, // the method is what is asked
		"black cotton tees and white mugs. method for mugs? how hot": {{"method", "mug", "", 0}, {"setting", "mug", "", 0}},
	} {
		var got []about
		for _, a := range l.Listen(text, Memory{}, env.Now).Asks {
			fibre := ""
			for f := range a.Subject.Fibre {
				fibre = f
			}
			got = append(got, about{a.Topic, a.Subject.Item, fibre, len(a.Subject.Methods)})
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

// TestRefusedStays holds that a refusal is not followed by how to do it.
func TestRefusedStays(t *testing.T) {
	l, env := listener(t)
	for _, text := range []string{
		"can i put that clear plastic rain poncho under the press, whats the temp",
		"can i press pvc? how long",
	} {
		for _, a := range l.Listen(text, Memory{}, env.Now).Asks[1:] {
			t.Errorf("%q: %s %s", text, a.Topic, a.What)
		}
	}
}
