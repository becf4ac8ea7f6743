package workspace

import (
	"context"
	"regexp"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// Names by which the platform reports the form, its shortcuts and its fields.
const (
	orderForm      = "order_form"
	orderShortcut  = "new_order"
	askShortcut    = "ask_about_this"
	newOrderAction = "order.new"
	fieldAction    = "field."
)

// Fields of the form; each names its block and, after fieldAction, its element.
const (
	fieldFor    = "for"
	fieldWhat   = "what"
	fieldSizes  = "sizes"
	fieldPrints = "prints"
	fieldDue    = "due"
	fieldNote   = "note"
)

// An OrderForm is what the new-order form asks, in the words that were typed.
type OrderForm struct {
	For    string // who it is for; may be empty
	What   string // "black cotton tees"
	Sizes  string // "24", or "S 4 M 10 L 8"
	Prints string // "9x7 front"; may be empty
	Due    string // "2026-12-03"; may be empty
	Note   string
}

// Text is the order as a sentence, which the bot reads like any other.
func (f OrderForm) Text() string {
	parts := []string{f.lead()}
	if f.Prints != "" {
		parts = append(parts, f.Prints)
	}
	if f.For != "" {
		parts = append(parts, "for "+f.For)
	}
	if due, err := time.Parse(time.DateOnly, f.Due); err == nil {
		parts = append(parts, "by "+due.Format("Jan 2"))
	}
	if f.Note != "" {
		parts = append(parts, "note: "+f.Note)
	}
	return strings.Join(parts, ", ")
}

var onlyNumber = regexp.MustCompile(`^\d+$`)

// lead is the amount and the article: "24 black tees", or "black tees S 4 M 10".
func (f OrderForm) lead() string {
	if onlyNumber.MatchString(f.Sizes) {
		return f.Sizes + " " + f.What
	}
	return f.What + " " + f.Sizes
}

var someDigit = regexp.MustCompile(`[1-9]`)

// Check returns what is wrong, by field: all of it at once, each with the way
// to mend it. Whether the words mean something is for the bot to say.
func (f OrderForm) Check() map[string]string {
	wrong := map[string]string{}
	if f.What == "" {
		wrong[fieldWhat] = "Say what is to be printed on, for example: black cotton tees."
	}
	switch {
	case !someDigit.MatchString(f.Sizes):
		wrong[fieldSizes] = "Give a number of pieces, for example 24, or S 4 M 10 L 8."
	case strings.Contains(f.Sizes, "-"):
		wrong[fieldSizes] = "A number of pieces has no minus sign or range; give one number, or one for each size."
	}
	if f.Due != "" {
		if _, err := time.Parse(time.DateOnly, f.Due); err != nil {
			wrong[fieldDue] = "Choose the day from the calendar."
		}
	}
	return wrong
}

// viewState is the part of a reported view that the bot reads.
type viewState struct {
	ID       string `json:"id"`
	Hash     string `json:"hash"`
	Callback string `json:"callback_id"`
	State    struct {
		Values map[string]map[string]struct {
			Value string `json:"value"`
			Date  string `json:"selected_date"`
		} `json:"values"`
	} `json:"state"`
}

func (v viewState) form() OrderForm {
	get := func(field string) string {
		element := v.State.Values[field][fieldAction+field]
		if element.Date != "" {
			return element.Date
		}
		return strings.TrimSpace(clean(element.Value))
	}
	return OrderForm{
		For: get(fieldFor), What: get(fieldWhat), Sizes: get(fieldSizes),
		Prints: get(fieldPrints), Due: get(fieldDue), Note: get(fieldNote),
	}
}

func checkOrder(v viewState) map[string]string { return v.form().Check() }

func orderText(v viewState) string { return v.form().Text() }

// formErrors is the acknowledgement that keeps the form open and shows what is
// wrong beside each field.
func formErrors(wrong map[string]string) any {
	return map[string]any{"response_action": "errors", "errors": wrong}
}

// formView draws the form. Under it stands what the check says so far.
func formView(hint string) slack.ModalViewRequest {
	blocks := []slack.Block{
		checked(input(fieldWhat, "What is printed on", "black cotton tees")),
		checked(input(fieldSizes, "How many, by size if it matters", "24, or S 4 M 10 L 8")),
		optional(input(fieldPrints, "Prints: size and place", "9x7 front")),
		optional(input(fieldFor, "Who it is for", "village choir")),
		checked(optional(dueInput())),
		optional(input(fieldNote, "Anything else", "names differ by piece")),
	}
	if hint = cut(shown(hint), maxContext); hint != "" {
		blocks = append(blocks, slack.NewContextBlock("check", plainText(hint)))
	}
	return slack.ModalViewRequest{
		Type: slack.VTModal, CallbackID: orderForm,
		Title: plainText("New order"), Submit: plainText("Send"), Close: plainText("Cancel"),
		Blocks: slack.Blocks{BlockSet: blocks},
	}
}

func input(field, label, example string) *slack.InputBlock {
	element := slack.NewPlainTextInputBlockElement(plainText(example), fieldAction+field)
	element.MaxLength = 500
	element.DispatchActionConfig = &slack.DispatchActionConfig{TriggerActionsOn: []string{"on_enter_pressed"}}
	return slack.NewInputBlock(field, plainText(label), nil, element)
}

func dueInput() *slack.InputBlock {
	element := slack.NewDatePickerBlockElement(fieldAction + fieldDue)
	return slack.NewInputBlock(fieldDue, plainText("Needed by"), nil, element)
}

// checked has the form looked at when the field is filled in, not only when it
// is sent.
func checked(b *slack.InputBlock) *slack.InputBlock {
	b.DispatchAction = true
	return b
}

func optional(b *slack.InputBlock) *slack.InputBlock {
	b.Optional = true
	return b
}

// aside does what must not wait in a lane: forms open within three seconds, and
// a home tab is only a picture of what is kept.
func (w *Workspace) aside(ctx context.Context, c call) {
	w.beside(func() {
		var err error
		switch c.job {
		case jobForm:
			// A trigger serves once and for three seconds: one try.
			err = w.out.once(ctx, "views.open", func(ctx context.Context) error {
				_, err := w.api.OpenViewContext(ctx, c.trigger, formView(""))
				return err
			})
		case jobCheck:
			err = w.showCheck(ctx, c.view)
		case jobHome:
			err = w.openHome(ctx, viewer{c.msg.Team, c.msg.User})
		}
		if err != nil && ctx.Err() == nil {
			w.log.Error("form or home tab not shown", "error", err)
		}
	})
}

// showCheck says under the form what is wrong so far, or how it will be read.
// What was typed stays: fields keep their names.
func (w *Workspace) showCheck(ctx context.Context, v viewState) error {
	f := v.form()
	wrong := f.Check()
	hint := "Reads as: " + f.Text()
	if len(wrong) > 0 {
		var said []string
		for _, field := range []string{fieldWhat, fieldSizes, fieldDue} {
			if wrong[field] != "" {
				said = append(said, wrong[field])
			}
		}
		hint = strings.Join(said, "\n")
	}
	return w.out.once(ctx, "views.update", func(ctx context.Context) error {
		_, err := w.api.UpdateViewContext(ctx, formView(hint), "", v.Hash, v.ID)
		return err
	})
}
