package shop

import (
	"bytes"
	_ "embed"
	"fmt"
	"io"
)

//go:embed example.yaml
var example []byte

// Example returns the built-in profile, the invented Alder Yard Print Room.
// Its Example is true: whatever is priced with it says so.
func Example() *Profile {
	p, err := Load(bytes.NewReader(example), "example.yaml")
	if err != nil {
		panic(fmt.Sprintf("shop: the built-in profile is faulty: %v", err)) // a test loads it
	}
	return p
}

// WriteExample writes the built-in profile with its comments, for a shop to
// start from.
func WriteExample(w io.Writer) error {
	if _, err := w.Write(example); err != nil {
		return fmt.Errorf("write example profile: %w", err)
	}
	return nil
}
