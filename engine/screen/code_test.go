package screen

import (
	"encoding/xml"
	"image"
	"image/color"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

const address = "http://192.168.1.20:7040/0123456789abcdef0123456789abcdef/"

// decode reads a picture of a code, by a library of others.
func decode(t *testing.T, dark func(x, y int) bool, size int) string {
	t.Helper()
	const scale = 4
	img := image.NewGray(image.Rect(0, 0, size*scale, size*scale))
	for y := range size * scale {
		for x := range size * scale {
			if !dark(x/scale, y/scale) {
				img.SetGray(x, y, color.Gray{Y: 255})
			}
		}
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	r, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r.GetText()
}

// The code on the terminal is read as a camera sees it: its colours are stated, so they do not depend on the terminal's.
func TestTerminalCodeCanBeRead(t *testing.T) {
	c, err := CodeOf(address)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]bool // dark
	sequence := regexp.MustCompile("\x1b\\[(?:38;5;(16|231);48;5;(16|231)|0)m")
	for line := range strings.Lines(string(c.Terminal())) {
		var top, below []bool
		fore, back := "", ""
		for rest := strings.TrimSuffix(line, "\n"); rest != ""; {
			if m := sequence.FindStringSubmatch(rest); m != nil && strings.HasPrefix(rest, m[0]) {
				fore, back, rest = m[1], m[2], rest[len(m[0]):]
				continue
			}
			if !strings.HasPrefix(rest, "▀") || fore == "" {
				t.Fatalf("the line has %.10q, or a character without stated colours", rest)
			}
			top, below = append(top, fore == "16"), append(below, back == "16")
			rest = rest[len("▀"):]
		}
		if len(top) != c.Columns() || fore != "" {
			t.Fatalf("a row has %d columns, want %d, and ends with colours set: %q", len(top), c.Columns(), fore)
		}
		rows = append(rows, top, below)
	}
	if got := decode(t, func(x, y int) bool { return y < len(rows) && rows[y][x] }, c.Columns()); got != address {
		t.Errorf("the code is read as %q", got)
	}
}

func TestSVGCodeCanBeRead(t *testing.T) {
	c, err := CodeOf(address)
	if err != nil {
		t.Fatal(err)
	}
	svg := string(c.SVG())
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("no XML: %v", err)
		}
	}
	dark := map[[2]int]bool{}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1`).FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		w, _ := strconv.Atoi(m[3])
		for i := range w {
			dark[[2]int{x + i, y}] = true
		}
	}
	if got := decode(t, func(x, y int) bool { return dark[[2]int{x, y}] }, c.Columns()); got != address {
		t.Errorf("the code is read as %q", got)
	}
	if strings.Contains(svg, "0123456789abcdef") {
		t.Error("the address stands in the file as text")
	}
}

func TestSecretFiles(t *testing.T) {
	folder := t.TempDir()
	path := func(name string) string { return filepath.Join(folder, name) }
	os.WriteFile(path("notes.svg"), []byte("<svg/>"), 0o644)
	os.WriteFile(path("notes.txt"), []byte("my notes\n"), 0o644)
	os.WriteFile(path("links.txt"), []byte("http://one.example\nhttp://two.example\n"), 0o644)
	c, _ := CodeOf(address)
	for _, f := range []struct {
		name   string
		text   []byte
		isCode bool
		fails  bool
	}{
		{"code.svg", c.SVG(), true, false}, {"code.svg", c.SVG(), true, false}, // again, as after a run that was killed
		{"page.txt", []byte(address + "\n"), false, false}, {"page.txt", []byte(address + "\n"), false, false},
		{"notes.svg", c.SVG(), true, true}, {"notes.txt", []byte(address + "\n"), false, true}, {"links.txt", []byte(address + "\n"), false, true},
		{"code.svg", []byte(address + "\n"), false, true}, {"page.txt", c.SVG(), true, true}, {"none/code.svg", c.SVG(), true, true},
	} {
		if err := writeSecret(path(f.name), f.text, f.isCode); (err != nil) != f.fails {
			t.Errorf("%s: %v", f.name, err)
		}
	}
	if info, err := os.Stat(path("code.svg")); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("others can read the code: %v, %v", info, err)
	}
	if left, _ := filepath.Glob(path(".page-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}
