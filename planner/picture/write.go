package picture

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// Write writes the picture in the form that the extension of name asks for:
// .png or .svg, in any case. Nothing is opened under that name.
func (c *Canvas) Write(w io.Writer, name string) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".png":
		return c.PNG(w)
	case ".svg":
		return c.SVG(w)
	}
	return fmt.Errorf("picture %q: unknown form %q: name it .png or .svg", name, filepath.Ext(name))
}
