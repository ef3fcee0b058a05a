package syntax

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// kind is what a word is.
type kind int

const (
	end kind = iota
	word
	name
	number
	text
	sign
)

// token is one word of a file.
type token struct {
	kind  kind
	text  string // as it is written; of a text, what it means
	value float64
	at    Pos
	off   int // in bytes
}

var words = map[string]bool{"and": true, "break": true, "do": true, "else": true, "elseif": true, "end": true, "false": true, "for": true,
	"function": true, "goto": true, "if": true, "in": true, "local": true, "nil": true, "not": true, "or": true, "repeat": true, "return": true, "then": true,
	"true": true, "until": true, "while": true}

var (
	numeral = regexp.MustCompile(`^(0[xX][0-9a-fA-F]+|[0-9]+\.?[0-9]*([eE][+-]?[0-9]+)?|\.[0-9]+([eE][+-]?[0-9]+)?)$`)
	suffix  = regexp.MustCompile(`^(0[xX][0-9a-fA-F]+|[0-9]+)([uUlL]+|[iIfFnd])$`)
)

// scanner gives the words of a file one after the other.
type scanner struct {
	src      string
	at       int
	line     int
	start    int // of the line
	last     int // the line of the last word
	comments []Comment
	escaped  []Escape
}

// fail ends the reading.
func fail(at Pos, foreign bool, tip, format string, args ...any) {
	panic(&Error{At: at, Message: fmt.Sprintf(format, args...), Tip: tip, Foreign: foreign})
}

func (s *scanner) pos() Pos { return s.posOf(s.at) }

func (s *scanner) posOf(off int) Pos {
	return Pos{s.line, utf8.RuneCountInString(s.src[s.start:off]) + 1}
}

func (s *scanner) has(prefix string) bool { return strings.HasPrefix(s.src[s.at:], prefix) }

// next is the next word, after spaces and comments.
func (s *scanner) next() token {
	s.skip()
	t := token{at: s.pos(), off: s.at}
	if s.at >= len(s.src) {
		return t
	}
	s.last = s.line
	switch c := s.src[s.at]; {
	case isLetter(c):
		begin := s.at
		for s.at < len(s.src) && (isLetter(s.src[s.at]) || isDigit(s.src[s.at])) {
			s.at++
		}
		t.text, t.kind = s.src[begin:s.at], name
		if words[t.text] {
			t.kind = word
		}
	case isDigit(c) || c == '.' && s.at+1 < len(s.src) && isDigit(s.src[s.at+1]):
		s.numeral(&t)
	case c == '"' || c == '\'':
		t.kind, t.text = text, s.short(c)
	case c == '[' && s.level() >= 0:
		t.kind, t.text = text, s.long("text")
	default:
		s.sign(&t)
	}
	return t
}

func isDigit(c byte) bool  { return '0' <= c && c <= '9' }
func isLetter(c byte) bool { return c == '_' || 'a' <= c|0x20 && c|0x20 <= 'z' }

func (s *scanner) skip() {
	for s.at < len(s.src) {
		switch c := s.src[s.at]; {
		case c == '\n':
			s.at++
			s.newLine()
		case c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f':
			s.at++
		case s.has("--"):
			s.comment()
		default:
			return
		}
	}
}

func (s *scanner) newLine() {
	s.line++
	s.start = s.at
}

func (s *scanner) comment() {
	c := Comment{At: s.pos(), Alone: s.last != s.line}
	s.at += 2
	if s.at < len(s.src) && s.src[s.at] == '[' && s.level() >= 0 {
		c.Text = s.long("comment")
	} else {
		n := strings.IndexByte(s.src[s.at:], '\n')
		if n < 0 {
			n = len(s.src) - s.at
		}
		c.Text = s.src[s.at : s.at+n]
		s.at += n
	}
	s.comments = append(s.comments, c)
}

// level is that of the long bracket that opens here, or -1.
func (s *scanner) level() int {
	i := s.at + 1
	for i < len(s.src) && s.src[i] == '=' {
		i++
	}
	if i < len(s.src) && s.src[i] == '[' {
		return i - s.at - 1
	}
	return -1
}

func (s *scanner) long(what string) string {
	at, level := s.pos(), s.level()
	s.at += level + 2
	if s.has("\r\n") {
		s.at++
	}
	if s.has("\n") {
		s.at++
		s.newLine()
	}
	close := "]" + strings.Repeat("=", level) + "]"
	n := strings.Index(s.src[s.at:], close)
	if n < 0 {
		fail(at, false, "", "a long %s has no '%s'", what, close)
	}
	body := s.src[s.at : s.at+n]
	for i := range len(body) {
		if body[i] == '\n' {
			s.line++
			s.start = s.at + i + 1
		}
	}
	s.at += n + len(close)
	return body
}

func (s *scanner) short(quote byte) string {
	at := s.pos()
	var b strings.Builder
	for s.at++; s.at < len(s.src) && s.src[s.at] != quote; {
		switch c := s.src[s.at]; c {
		case '\n':
			fail(at, false, "", "a text has no closing %c on its line", quote)
		case '\\':
			s.escape(&b)
		default:
			b.WriteByte(c)
			s.at++
		}
	}
	if s.at >= len(s.src) {
		fail(at, false, "", "a text has no closing %c", quote)
	}
	s.at++
	return b.String()
}

var escapes = map[byte]byte{'a': '\a', 'b': '\b', 'f': '\f', 'n': '\n', 'r': '\r', 't': '\t', 'v': '\v'}

func (s *scanner) escape(b *strings.Builder) {
	s.at++
	if s.at >= len(s.src) {
		return
	}
	c := s.src[s.at]
	switch {
	case isDigit(c):
		n, i := 0, 0
		for ; i < 3 && s.at < len(s.src) && isDigit(s.src[s.at]); i++ {
			n = n*10 + int(s.src[s.at]-'0')
			s.at++
		}
		if n > 255 {
			fail(s.pos(), false, "", "the escape \\%d in a text is over 255", n)
		}
		b.WriteByte(byte(n))
		return
	case c == '\n':
		b.WriteByte('\n')
		s.at++
		s.newLine()
		return
	}
	if e, ok := escapes[c]; ok {
		c = e
	} else if c|0x20 >= 'a' && c|0x20 <= 'z' {
		s.escaped = append(s.escaped, Escape{s.posOf(s.at - 1), string(c)})
	}
	b.WriteByte(c)
	s.at++
}

func (s *scanner) numeral(t *token) {
	begin := s.at
	for s.at < len(s.src) && (isDigit(s.src[s.at]) || s.src[s.at] == '.') {
		s.at++
	}
	if s.at < len(s.src) && s.src[s.at]|0x20 == 'e' {
		s.at++
		if s.at < len(s.src) && (s.src[s.at] == '+' || s.src[s.at] == '-') {
			s.at++
		}
	}
	for s.at < len(s.src) && (isDigit(s.src[s.at]) || isLetter(s.src[s.at])) {
		s.at++
	}
	t.kind, t.text = number, s.src[begin:s.at]
	if !numeral.MatchString(t.text) {
		s.notANumber(t)
	}
	if strings.HasPrefix(strings.ToLower(t.text), "0x") {
		for _, c := range []byte(strings.ToLower(t.text[2:])) {
			t.value = t.value*16 + float64(strings.IndexByte("0123456789abcdef", c))
		}
		return
	}
	t.value, _ = strconv.ParseFloat(t.text, 64)
}

func (s *scanner) notANumber(t *token) {
	switch m := suffix.FindStringSubmatch(t.text); {
	case m != nil:
		fail(t.at, true, "write "+m[1]+"; all numbers are of the same kind", "the number %s has the suffix %s, which is not Lua 5.1", t.text, m[2])
	case strings.Contains(t.text, "_"):
		fail(t.at, true, "write "+strings.ReplaceAll(t.text, "_", ""), "the number %s has underscores, which are not Lua 5.1", t.text)
	case strings.HasPrefix(strings.ToLower(t.text), "0b"):
		fail(t.at, true, `write it in decimals, in hexadecimals with 0x, or as tonumber("`+t.text[2:]+`", 2)`, "the binary number %s is not Lua 5.1", t.text)
	}
	fail(t.at, false, "", "'%s' is not a number", shorten(t.text))
}

func shorten(s string) string {
	if len(s) > 30 {
		return strings.ToValidUTF8(s[:30], "") + "…"
	}
	return s
}

// signs, longest first. Those of other languages are words, too, so that an error can name them.
var signs = []string{"...", "//=", "**=", "..=", "<<=", ">>=", "===", "!==", "&&=", "||=", "==", "~=", "<=", ">=", "..", "::", "!=", "+=", "-=", "*=", "/=", "%=", "^=", "//", "/*", "&&", "||", "<<", ">>", "++", "**", "=>", "->", "??", "?.", "<>", ":=", "&=", "|="}

func (s *scanner) sign(t *token) {
	t.kind = sign
	for _, x := range signs {
		if s.has(x) {
			t.text = x
			s.at += len(x)
			return
		}
	}
	r, n := utf8.DecodeRuneInString(s.src[s.at:])
	t.text = string(r)
	s.at += n
}
