package sandbox

import (
	"bytes"
	"regexp"
)

// opener is a bracket or block that is still open.
type opener struct {
	word string
	line int
	last int // the file's last line

	params bool // the brackets around a function's parameters
}

// mostChain is the longest chain of operators that bind from the right, or of
// signs before an operand, for each level of nesting.
const mostChain = 1000

// number is a numeral of Lua 5.1.
var numeral = regexp.MustCompile(`^(0[xX][0-9a-fA-F]+|[0-9]+\.?[0-9]*([eE][+-]?[0-9]+)?|\.[0-9]+([eE][+-]?[0-9]+)?)$`)

// binaryExponent is a numeral of C99, which Lua 5.1 reads where C does.
var binaryExponent = regexp.MustCompile(`^0[xX][0-9a-fA-F]+[pP][0-9]+$`)

// scanner reads a source file's words, to bound what the parser will have to keep.
type scanner struct {
	src    []byte
	at     int
	line   int
	lim    Limits
	open   []opener
	chains []int // operators in a row, for each open bracket

	defining bool // after function, before its parameters
	callable int  // the line on which a bracket ended what could be called, else 0
}

// scan refuses source that is too long or too deeply nested for the parser and the
// compiler, whose stacks would overflow. It returns the innermost opener that nothing closes.
func scan(src []byte, lim Limits) opener {
	if len(src) > lim.SourceBytes {
		refuse(0, "the file is %d bytes long, at most %d are allowed", len(src), lim.SourceBytes)
	}
	s := &scanner{src: src, line: 1, lim: lim, chains: []int{0}}
	for s.at < len(s.src) {
		s.next()
	}
	o := opener{line: s.line}
	if n := len(s.open); n > 0 {
		o = s.open[n-1]
	}
	o.last = s.line
	return o
}

// next takes one word.
func (s *scanner) next() {
	c := s.src[s.at]
	if c == '(' && s.callable > 0 && s.callable < s.line {
		refuse(s.line, "a line begins with '(': is it a call of the line before? put ';' before it, or join the lines")
	}
	if c > ' ' && !s.has("--") {
		s.callable = 0
	}
	switch {
	case c == '\n':
		s.line++
		s.at++
	case c == '-' && s.has("--"):
		s.comment()
	case c == '"' || c == '\'':
		s.text(c)
	case c == '[' && s.longLevel(s.at) >= 0:
		s.long(s.at)
	case isDigit(c) || c == '.' && s.at+1 < len(s.src) && isDigit(s.src[s.at+1]):
		s.numeral()
	case isLetter(c):
		s.word()
	default:
		s.sign(c)
	}
}

func (s *scanner) has(text string) bool { return bytes.HasPrefix(s.src[s.at:], []byte(text)) }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isLetter(c byte) bool { return c == '_' || 'a' <= lowerByte(c) && lowerByte(c) <= 'z' }

func (s *scanner) comment() {
	s.at += 2
	if s.at < len(s.src) && s.src[s.at] == '[' && s.longLevel(s.at) >= 0 {
		s.long(s.at)
		return
	}
	for s.at < len(s.src) && s.src[s.at] != '\n' {
		s.at++
	}
}

// longLevel returns the level of the long bracket that opens at an offset, or -1.
func (s *scanner) longLevel(at int) int {
	i := at + 1
	for i < len(s.src) && s.src[i] == '=' {
		i++
	}
	if i < len(s.src) && s.src[i] == '[' {
		return i - at - 1
	}
	return -1
}

func (s *scanner) long(at int) {
	level := s.longLevel(at)
	end := []byte("]" + string(bytes.Repeat([]byte("="), level)) + "]")
	n := bytes.Index(s.src[at:], end)
	if n < 0 {
		refuse(s.line, "a long text or comment has no '%s'", end)
	}
	s.line += bytes.Count(s.src[at:at+n], []byte("\n"))
	s.at = at + n + len(end)
}

func (s *scanner) text(quote byte) {
	start := s.line
	for s.at++; s.at < len(s.src) && s.src[s.at] != quote; s.at++ {
		switch c := s.src[s.at]; {
		case c == '\n':
			refuse(start, "a text has no closing %c on its line", quote)
		case c == '\\':
			s.escape()
		}
	}
	if s.at >= len(s.src) {
		refuse(start, "a text has no closing %c", quote)
	}
	s.at++
}

// escape stands on a backslash and goes to the escape's last byte.
func (s *scanner) escape() {
	s.at++
	if s.at >= len(s.src) {
		return
	}
	if s.src[s.at] == '\n' {
		s.line++
	}
	n, digits := 0, 0
	for digits < 3 && s.at+digits < len(s.src) && isDigit(s.src[s.at+digits]) {
		n = n*10 + int(s.src[s.at+digits]-'0')
		digits++
	}
	if n > 255 {
		refuse(s.line, "the escape \\%d in a text is over 255", n)
	}
	s.at += max(0, digits-1)
}

// numeral takes a number as Lua reads one, and refuses what the library would read otherwise.
func (s *scanner) numeral() {
	start := s.at
	for s.at < len(s.src) && (isDigit(s.src[s.at]) || s.src[s.at] == '.') {
		s.at++
	}
	if s.at < len(s.src) && lowerByte(s.src[s.at]) == 'e' {
		s.at++
		if s.at < len(s.src) && (s.src[s.at] == '+' || s.src[s.at] == '-') {
			s.at++
		}
	}
	for s.at < len(s.src) && (isDigit(s.src[s.at]) || isLetter(s.src[s.at])) {
		s.at++
	}
	switch text := s.src[start:s.at]; {
	case numeral.Match(text):
	case binaryExponent.Match(text):
		refuse(s.line, "'%s' has a power of two as its exponent, which is not read here; write it in decimals", short(string(text)))
	default:
		refuse(s.line, "'%s' is not a number", short(string(text)))
	}
}

func (s *scanner) word() {
	start := s.at
	for s.at < len(s.src) && (isLetter(s.src[s.at]) || isDigit(s.src[s.at])) {
		s.at++
	}
	switch w := string(s.src[start:s.at]); w {
	case "function", "do", "if", "repeat":
		s.defining = w == "function"
		s.enter(w)
	case "end", "until":
		s.leave()
	case "not":
		s.chain()
	case "and", "or", "then", "else", "elseif", "return", "local", "for", "while", "in":
		s.chains[len(s.chains)-1] = 0
	}
}

func (s *scanner) sign(c byte) {
	switch c {
	case '(', '[', '{':
		s.enter(string(c))
		s.open[len(s.open)-1].params = s.defining
		s.defining = false
	case ')', ']', '}':
		if n := len(s.open); c != '}' && (n == 0 || !s.open[n-1].params) {
			s.callable = s.line
		}
		s.leave()
	case ',', ';', '=', '<', '>':
		s.chains[len(s.chains)-1] = 0
	case '-', '#', '^':
		s.chain()
	case '.':
		if s.has("..") && !s.has("...") {
			s.chain()
			s.at++
		} else if s.has("...") {
			s.at += 2
		}
	}
	s.at++
}

func (s *scanner) enter(word string) {
	if len(s.open) >= s.lim.Nesting {
		refuse(s.line, "brackets and blocks are nested over %d deep", s.lim.Nesting)
	}
	s.open = append(s.open, opener{word: word, line: s.line})
	s.chains = append(s.chains, 0)
}

func (s *scanner) leave() {
	if n := len(s.open); n > 0 {
		s.open, s.chains = s.open[:n-1], s.chains[:n]
	}
}

func (s *scanner) chain() {
	n := len(s.chains) - 1
	if s.chains[n]++; s.chains[n] > mostChain {
		refuse(s.line, "over %d operators in a row", mostChain)
	}
}

// closerOf returns the word that closes a block or bracket.
func closerOf(word string) string {
	switch word {
	case "(":
		return ")"
	case "[":
		return "]"
	case "{":
		return "}"
	case "repeat":
		return "until"
	}
	return "end"
}
