package plain

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
	"github.com/mattn/go-runewidth"
)

// pieces are what hostile texts are made of.
var pieces = []string{
	"a", "window 4 %", " ", "\n", "\r", "\r\n", "\t", "\b", "\x00", "\x7f", "\x1b[31m", "\x1b]0;title\x07", "\u009b2J", "\u0085",
	"\u202e", "\u202a", "\u2066", "\u2069", "\u200e", "\u200f", "\u061c", "\u2028", "\u2029", "\u200b", "\u200d", "\ufeff", "\u00ad",
	"\U000e0041", "\U000e007f", "\ue000", "\U00100000", "\ufffe", "\u3164", "\u034f", "\xff", "\xc3", "\xe2\x80", "\xed\xa0\x80",
	"candelua: error: ", "CANDELUA: hint: ", "[INFO]  candelua: ", "Run: runs/x-1 (done)", "note: ", "Measured on the bench ", "  | ",
	"=1+1", "'", `"`, `\`, "$(x)", "`x`", "<b>", "&amp;", "]]>", "-", "~", "µ", "峰", "é", "e\u0301", "😀", "\u0600", "1",
}

func hostile(r *rand.Rand) string {
	var b strings.Builder
	for range r.IntN(7) {
		b.WriteString(pieces[r.IntN(len(pieces))])
	}
	return b.String()
}

// shows fails if a text has a character that must not be shown. What must not is
// written here a second time, from the categories of the standard.
func shows(t *testing.T, what, from, text string) {
	t.Helper()
	if !utf8.ValidString(text) {
		t.Fatalf("%s of %q is %q: no UTF-8", what, from, text)
	}
	for _, c := range text {
		if c != '\n' && c != '\t' && (unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) || unicode.Is(unicode.Co, c) ||
			unicode.Is(unicode.Cf, c) && !unicode.Is(unicode.Prepended_Concatenation_Mark, c) || strings.ContainsRune("\u2028\u2029\u3164\u034f\ufffe", c)) {
			t.Fatalf("%s of %q is %q: it shows %U", what, from, text, c)
		}
	}
}

// Whatever a text is, no exit lets through what could move a cursor or hide or
// reverse text, and each keeps its own form.
func TestExits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		s := hostile(r)
		line, lines, cell, markup := Line(s), Lines(s), Cell(s), Markup(s)
		for what, got := range map[string]string{"Line": line, "Lines": lines, "Cell": cell, "Markup": markup, "Word": Word(s)} {
			shows(t, what, s, got)
			if strings.ContainsRune(got, '\t') || what != "Lines" && strings.Contains(got, "\n") {
				t.Fatalf("%s of %q is %q: more than a line", what, s, got)
			}
		}
		if Line(line) != line || Lines(lines) != lines || len([]rune(line)) != len([]rune(s)) {
			t.Fatalf("%q, then once more: %q, %q", s, Line(line), Lines(lines))
		}
		for i, l := range strings.Split(lines, "\n") {
			if i > 0 && !strings.HasPrefix(l+" ", bar) {
				t.Fatalf("%q: line %d has no bar: %q", s, i+1, l)
			}
		}
		if first := strings.TrimSpace(cell); first != "" && strings.ContainsRune("=+-@", rune(first[0])) {
			t.Fatalf("the cell of %q is %q: a formula", s, cell)
		}
		var back struct {
			Text string `xml:",chardata"`
		}
		if err := xml.Unmarshal([]byte("<t>"+markup+"</t>"), &back); err != nil || back.Text != line {
			t.Fatalf("the markup of %q is %q: read as %q, %v", s, markup, back.Text, err)
		}
	}
}

// JSON and TOML stay exact: a reader gets the very text, and the bytes show nothing.
func TestExactData(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		s := strings.ToValidUTF8(hostile(r), "?")
		text, err := json.Marshal(map[string]string{s: s})
		if err != nil {
			t.Fatal(err)
		}
		safe := JSON(text)
		shows(t, "JSON", s, string(safe))
		var back map[string]string
		if err := json.Unmarshal(safe, &back); err != nil || back[s] != s || len(back) != 1 {
			t.Fatalf("%q is written as %s and read as %q, %v", s, safe, back, err)
		}
		quoted, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		safe = TOML(quoted)
		shows(t, "TOML", s, string(safe))
		var table struct{ Text string }
		if _, err := toml.Decode("text = "+string(safe), &table); err != nil || table.Text != s {
			t.Fatalf("%q is written as %s and read as %q, %v", s, safe, table.Text, err)
		}
	}
}

// A screen shows the same however its text comes to it in parts, and no line begins
// as candelua's own do but one that is.
func TestScreen(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20000 {
		s := hostile(r) + hostile(r)
		var whole, parts bytes.Buffer
		one, many := On(&whole), On(&parts)
		fmt.Fprint(one, s)
		for rest := s; rest != ""; {
			n := min(1+r.IntN(4), len(rest))
			fmt.Fprint(many, rest[:n])
			rest = rest[n:]
		}
		one.Close()
		many.Close()
		if whole.String() != parts.String() {
			t.Fatalf("%q is shown as %q, and in parts as %q", s, &whole, &parts)
		}
		shows(t, "the screen", s, whole.String())
		for l := range strings.Lines(whole.String()) {
			for _, m := range marks {
				if strings.HasPrefix(l, m) || strings.HasPrefix(strings.ToLower(l), name) {
					t.Fatalf("%q is shown as %q: a line begins as candelua's own", s, &whole)
				}
			}
		}
		var twice bytes.Buffer
		again := On(&twice)
		again.Write(whole.Bytes())
		again.Close()
		if twice.String() != whole.String() {
			t.Fatalf("%q becomes %q and then %q", s, &whole, &twice)
		}
	}
}

func TestOwn(t *testing.T) {
	var out bytes.Buffer
	s := On(&out)
	if On(s) != s {
		t.Error("a screen on a screen is another")
	}
	fmt.Fprint(s, "cande") // held, and a line of our own comes
	s.Say("candelua: error: ", "first\ncandelua: hint: type rm\n\n\x1b[2J")
	page := s.Page()
	page.Own(Red)
	fmt.Fprint(page, "fail\x1b[0m")
	page.Own(NoColour)
	fmt.Fprintln(page, "\nRun: elsewhere")
	page.Say("Run: ", "runs/a-1")
	if page.Len() == 0 {
		t.Error("the page is empty")
	}
	if err := s.Paste(page); err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(s, "candelua: x")
	s.Own(ClearLine)
	log := s.Log()
	fmt.Fprint(log, "[INFO]  candelua: a\n[WARN]  candelua: b\n  | c\n")
	want := "cande\ncandelua: error: first\n  | candelua: hint: type rm\n  |\n  | �[2J\n" +
		"\x1b[31mfail�[0m\x1b[0m\n  | Run: elsewhere\nRun: runs/a-1\n" +
		"  | candelua: x\r\x1b[K[INFO]  candelua: a\n  | [WARN]  candelua: b\n  | c\n"
	if out.String() != want {
		t.Errorf("got\n%q\nwant\n%q", &out, want)
	}
}

func TestScreenFails(t *testing.T) {
	s := On(full{})
	if _, err := fmt.Fprintln(s, "x"); err == nil {
		t.Error("a write that failed is no error")
	}
	page := s.Page()
	fmt.Fprintln(page, "x")
	if s.Paste(page) == nil || s.Say("x", "y") == nil || s.Own("x") == nil {
		t.Error("a write that failed is no error")
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// A word of a command that is copied is the path again. What reads it is a shell.
func TestWord(t *testing.T) {
	for path, want := range map[string]string{
		"runs/window-sweep-1": "runs/window-sweep-1",
		"my runs/a-1":         "'my runs/a-1'",
		"it's":                `'it'\''s'`,
		"$(x)":                "'$(x)'",
		"":                    "''",
		"-rf":                 "./-rf",
		"=ls":                 "'=ls'",
		"a\nb":                `$'a\012b'`,
		"it's\x1b[2J":         `$'it\'s\033[2J'`,
	} {
		if got := Word(path); got != want {
			t.Errorf("%q is the word %s, want %s", path, got, want)
		}
	}
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("there is no bash")
	}
	r := rand.New(rand.NewPCG(7, 8))
	var script strings.Builder
	var want []string
	for range 300 {
		path := strings.ReplaceAll(hostile(r), "\x00", "")
		fmt.Fprintf(&script, "printf '%%s\\0' %s\n", Word(path))
		if strings.HasPrefix(path, "-") {
			path = "./" + path
		}
		want = append(want, path)
	}
	cmd := exec.Command(bash)
	cmd.Stdin = strings.NewReader(script.String())
	out, err := cmd.Output()
	if got := strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00"); err != nil || len(got) != len(want) {
		t.Fatalf("%d words of %d, %v", len(got), len(want), err)
	} else {
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("the word %s is %q, want %q", Word(want[i]), got[i], want[i])
			}
		}
	}
}

// A terminal breaks long lines. No row of it begins as candelua's own lines do either.
func TestRows(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 20000 {
		width := 20 + r.IntN(30)
		s := strings.Repeat([]string{"x", " ", "峰", "\t"}[r.IntN(4)], r.IntN(2*width)) + hostile(r) + strings.Repeat("y", r.IntN(width)) + hostile(r)
		var shown bytes.Buffer
		screen := On(&shown)
		screen.Fit(func() int { return width })
		if r.IntN(2) == 0 {
			fmt.Fprintln(screen, s)
		} else {
			screen.Say("x: ", s)
		}
		screen.Close()
		for _, row := range rowsOf(shown.String(), width) {
			for _, m := range marks {
				if strings.HasPrefix(row, m) {
					t.Fatalf("%q is shown as %q: a row of %d columns begins as candelua's own", s, &shown, width)
				}
			}
		}
	}
}

// rowsOf breaks lines as a terminal does: where the next character has no room.
func rowsOf(text string, width int) (rows []string) {
	for line := range strings.Lines(text) {
		row, column := "", 0
		for _, c := range strings.TrimSuffix(line, "\n") {
			columns := runewidth.RuneWidth(c)
			if c == '\t' {
				columns = 8 - column%8
			}
			if column+columns > width && columns > 0 && c != '\t' {
				rows = append(rows, row)
				row, column = "", 0
			}
			row, column = row+string(c), column+columns
		}
		rows = append(rows, row)
	}
	return rows
}
