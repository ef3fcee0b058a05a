package screen

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"github.com/boombuler/barcode/qr"

	"candelua/engine/bench"
	"candelua/engine/plain"
)

// Code is a QR code: an address that a camera reads.
//
// Source: [ISO/IEC 18004]: a quiet zone of four modules around it.
type Code struct {
	text string
	size int
	dark func(x, y int) bool
}

// quiet is the width of the light border, in modules.
const quiet = 4

// CodeOf makes the code of a text.
func CodeOf(text string) (*Code, error) {
	c, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return nil, fmt.Errorf("the address cannot be written as a QR code: %w", err)
	}
	return &Code{text: text, size: c.Bounds().Dx(), dark: func(x, y int) bool {
		r, _, _, _ := c.At(x, y).RGBA()
		return r == 0
	}}, nil
}

// Dark says whether a module is dark, from the left and the top; the border is light.
func (c *Code) Dark(x, y int) bool {
	return x >= 0 && y >= 0 && x < c.size && y < c.size && c.dark(x, y)
}

// Columns is how many columns of a terminal it takes.
func (c *Code) Columns() int { return c.size + 2*quiet }

// Terminal draws the code for a terminal, the same on dark and on light ones.
func (c *Code) Terminal() plain.Own {
	return plain.Dots(-quiet, c.size+quiet, c.Dark)
}

// SVG draws the code as a picture.
func (c *Code) SVG() []byte {
	var b bytes.Buffer
	n := c.Columns()
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" shape-rendering="crispEdges" role="img" aria-label="%s"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`, n, n, 8*n, 8*n, codeOf, n, n)
	for y := range c.size {
		for x := 0; x < c.size; x++ {
			w := 0
			for c.Dark(x+w, y) {
				w++
			}
			if w > 0 {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, w, w)
				x += w
			}
		}
	}
	b.WriteString("\"/></svg>\n")
	return b.Bytes()
}

// announce shows where the page is.
func (s *Source) announce(o options) error {
	s.mu.Lock()
	address := s.server.URL()
	s.mu.Unlock()
	s.o.Say("Open this address in the browser of the display under test: " + address)
	c, err := CodeOf(address)
	if err != nil {
		return err
	}
	if s.o.Draw != nil {
		s.o.Draw(c)
	}
	for _, f := range []struct {
		key, path string
		text      []byte
	}{{"code", o.code, c.SVG()}, {"address", o.address, []byte(address + "\n")}} {
		if f.path == "" {
			continue
		}
		if err := writeSecret(f.path, f.text, f.key == "code"); err != nil {
			return bench.Errorf(bench.CodeBadFile, "name another file with "+f.key+", or leave it out", "the page's %s cannot be written: %w", f.key, err)
		}
		s.mu.Lock()
		s.files = append(s.files, f.path)
		s.mu.Unlock()
	}
	return nil
}

// writeSecret writes a file for this user only: who reads the address can open the page. A file of that name is written
// over only if it is one that an earlier run left.
func writeSecret(path string, text []byte, isCode bool) error {
	was, err := os.ReadFile(path)
	ours := bytes.Contains(was, []byte(codeOf)) == isCode && (isCode || bytes.HasPrefix(was, []byte("http")) && bytes.Count(was, []byte("\n")) == 1)
	if err == nil && !ours {
		return fmt.Errorf("%s is there already, and is another file", path)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".page-*")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// codeOf is in each SVG file of a code.
const codeOf = "QR code of the address of the patch page"
