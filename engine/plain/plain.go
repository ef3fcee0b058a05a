package plain

import (
	"encoding/xml"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// instead is shown for each character that could do harm.
const instead = '\uFFFD'

// unsafe says whether a character could move a cursor, or hide or reverse text.
// The end of a line and a tab are for the callers to judge.
func unsafe(r rune) bool {
	switch {
	case r < utf8.RuneSelf:
		return r < ' ' || r == 0x7F
	case unicode.Is(unicode.Prepended_Concatenation_Mark, r):
		return false // format characters that are seen
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp,
		unicode.Other_Default_Ignorable_Code_Point, unicode.Noncharacter_Code_Point)
}

// Line makes one line of a text, for a place in a layout.
func Line(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unsafe(r):
			return instead
		}
		return r
	}, s)
}

// bar begins each further line of a text from outside. It is the one that the
// log has for values of several lines.
const bar = "  | "

// Lines keeps the ends of lines, and begins each line after the first with a bar.
func Lines(s string) string {
	all := strings.Split(strings.TrimRight(s, "\n"), "\n")
	for i, l := range all {
		l = Line(l)
		if i > 0 && !strings.HasPrefix(l+" ", bar) {
			l = strings.TrimRight(bar+l, " ")
		}
		all[i] = l
	}
	return strings.Join(all, "\n")
}

// Cell makes a text for a file that spreadsheets read: one that neither ends a
// line nor starts a formula. Control characters become spaces there.
func Cell(s string) string {
	s = Line(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
	if start := strings.TrimSpace(s); start != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(start)[0]) {
		return "'" + s
	}
	return s
}

// Markup makes text that nothing in a drawing takes for markup.
func Markup(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(Line(s))) // a strings.Builder takes all
	return b.String()
}

// JSON escapes in a text of JSON what could do harm on a terminal. Readers get the
// same data: such characters can only be within strings.
func JSON(text []byte) []byte {
	return escaped(text, func(r rune) string {
		if high, low := utf16.EncodeRune(r); high != instead {
			return fmt.Sprintf(`\u%04x\u%04x`, high, low)
		}
		return fmt.Sprintf(`\u%04x`, r)
	})
}

// TOML is [JSON] for a text of TOML.
func TOML(text []byte) []byte {
	return escaped(text, func(r rune) string {
		if r > 0xFFFF {
			return fmt.Sprintf(`\U%08x`, r)
		}
		return fmt.Sprintf(`\u%04x`, r)
	})
}

func escaped(text []byte, how func(rune) string) []byte {
	out := make([]byte, 0, len(text))
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		switch {
		case r != '\n' && r != '\t' && unsafe(r), r == utf8.RuneError && size == 1:
			out = append(out, how(r)...)
		default:
			out = append(out, text[:size]...)
		}
		text = text[size:]
	}
	return out
}
