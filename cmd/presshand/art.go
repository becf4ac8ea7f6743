package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"presshand/bot/answer"
	"presshand/bot/listen"
	"presshand/bot/terminal"
	"presshand/planner/artwork"
	"presshand/planner/picture"
	"presshand/planner/unit"
)

// artCommand inspects one artwork file.
type artCommand struct {
	Image   string `arg:"" help:"PNG, JPEG, GIF, WebP, TIFF, BMP or SVG."`
	JSON    bool   `name:"json" help:"Write the report as JSON."`
	Width   string `placeholder:"LENGTH" help:"Width of the print, with unit: 9in, 230mm."`
	Height  string `placeholder:"LENGTH" help:"Height of the print, with unit."`
	Method  string `placeholder:"ID" help:"Method it is judged for: two-step-transfer, sublimation."`
	Blank   string `placeholder:"TEXT" help:"Blank it goes on: \"black cotton tee\"."`
	Picture string `placeholder:"FILE" help:"Draw the art on the blank, trouble ringed, to a .png or .svg file."`
}

// Run implements the command.
func (c *artCommand) Run(s *session) error {
	h, err := s.open()
	if err != nil {
		return err
	}
	subject := listen.New(h.base, h.profile).Listen(c.Blank, listen.Memory{}, h.now()).Asks[0].Subject
	for _, side := range []struct {
		flag, text string
		to         *float64
	}{{"--width", c.Width, &subject.Width}, {"--height", c.Height, &subject.Height}} {
		if side.text == "" {
			continue
		}
		l, err := unit.ParseLength(side.text)
		if err != nil {
			return usageError{fmt.Errorf("%s: %w", side.flag, err)}
		}
		*side.to = l.MM()
	}
	if c.Method != "" {
		if _, ok := h.base.Method(c.Method); !ok {
			return usageError{fmt.Errorf("--method %q is not known: use one of %s", c.Method, strings.Join(knownIDs(h.base).Methods, ", "))}
		}
		subject.Methods = []string{c.Method}
	}
	data, err := readImage(c.Image)
	if err != nil {
		return err
	}
	in, err := h.desk.Inspect(bytes.NewReader(data), c.Image, subject)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Image, err)
	}
	if err := s.draw(c.Picture, func() *picture.Canvas { return in.Art.Draw(in.Report, in.Wish) }); err != nil {
		return err
	}
	if c.JSON {
		return s.json(in.Report)
	}
	return terminal.Face{Out: s.streams.Out, Colour: s.colour()}.Write(h.desk.AnswerArt(in, listen.Ask{Topic: "art", Subject: subject}, answer.Turn{Now: h.now()}))
}

// readImage reads a file no larger than what artwork may be.
func readImage(name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, pathError(err)
	}
	if most := artwork.DefaultLimits().Bytes; info.Size() > most {
		return nil, fmt.Errorf("%s is larger than %d MB: send a smaller file", name, most>>20)
	}
	if info.IsDir() {
		return nil, errors.New(name + " is a folder: name one image file")
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, pathError(err)
	}
	return data, nil
}
