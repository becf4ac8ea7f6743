package rephrase

import (
	"context"
	"errors"
)

// A Request is all that a model is given.
type Request struct {
	System string // the fixed instruction, with the synonyms that may be used
	Text   string // the masked lines
}

// A Model rewords a text. It should end with ctx; nobody waits longer.
type Model interface {
	Reword(ctx context.Context, q Request) (string, error)
}

// ErrOff says that no model is set up.
var ErrOff = errors.New("no model is set up: set PRESSHAND_MODEL_URL and PRESSHAND_MODEL")

// Off is the model that is none.
type Off struct{}

// Reword implements Model.
func (Off) Reword(context.Context, Request) (string, error) { return "", ErrOff }

// Echo gives back what it is sent, for trying the way without a server.
type Echo struct{}

// Reword implements Model.
func (Echo) Reword(_ context.Context, q Request) (string, error) { return q.Text, nil }
