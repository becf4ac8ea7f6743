package main

import (
	"presshand/bot"
	"presshand/bot/rephrase"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// rewording sets up the model that may reword answers, where the profile or
// --rephrase turns it on. Where it is on and no model is named, the answers
// say that it is off.
func (s *session) rewording(base *knowledge.Base, profile *shop.Profile) ([]bot.Option, error) {
	if !profile.Rephrase && !s.rephrase {
		return nil, nil
	}
	var model rephrase.Model = rephrase.Off{}
	if address := s.getenv("PRESSHAND_MODEL_URL"); address != "" {
		client, err := rephrase.NewClient(address, s.getenv("PRESSHAND_MODEL"), s.getenv("PRESSHAND_MODEL_KEY"))
		if err != nil {
			return nil, err
		}
		model = client
	}
	var options []rephrase.Option
	if s.meter != nil {
		options = append(options, rephrase.WithMeter(s.meter))
	}
	return []bot.Option{bot.WithRephraser(rephrase.New(base, model, options...))}, nil
}
