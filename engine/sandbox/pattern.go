package sandbox

import (
	"errors"
	"fmt"
)

// A pattern is a Lua 5.1 pattern; Lua 5.1 reference manual, 5.4.1. The matcher
// backtracks, so its time can grow exponentially with the pattern: each
// step is charged to the budget.

// maxCaptures is LUA_MAXCAPTURES of Lua 5.1; maxMatchDepth is MAXCCALLS of Lua 5.2,
// which bounds the recursion that 5.1 leaves open.
const (
	maxCaptures   = 32
	maxMatchDepth = 200
)

// The length of a capture that is still open, and of one that takes a position.
const (
	captureOpen     = -1
	capturePosition = -2
)

// matcher matches one pattern against one text.
type matcher struct {
	text, pattern string
	captures      []capture
	depth         int
	steps         int64
	charge        func(int64)
	counted       bool // by today's rules
}

type capture struct{ start, length int }

// matchCost is what it costs to try the rest of a pattern at one place, beside its steps.
const matchCost = 2

// chargeSteps is how many steps are charged at once.
const chargeSteps = 32

func (m *matcher) step() {
	if m.steps++; m.steps >= chargeSteps {
		m.charge(m.steps)
		m.steps = 0
	}
}

// find looks for the first match at or after a byte offset. It returns the
// offsets of its start and end, and start -1 where there is none.
func (m *matcher) find(from int) (start, end int, err error) {
	p, anchored := 0, false
	if m.pattern != "" && m.pattern[0] == '^' {
		p, anchored = 1, true
	}
	for s := from; s <= len(m.text); s++ {
		m.captures = m.captures[:0]
		end, err := m.match(s, p)
		if err != nil || end >= 0 {
			return s, end, err
		}
		if anchored {
			break
		}
	}
	return -1, -1, nil
}

var (
	errPatternEnd     = errors.New("the pattern ends after %; write %% for a percent sign")
	errPatternSet     = errors.New("the pattern has a [ without its ]")
	errPatternDeep    = errors.New("the pattern is too complex")
	errPatternOpen    = errors.New("the pattern has a ( without its )")
	errPatternClose   = errors.New("the pattern has a ) without its (")
	errPatternCapture = fmt.Errorf("the pattern has more than %d captures", maxCaptures)
	errPatternBalance = errors.New("%b in the pattern wants two characters after it")
	errPatternBorder  = errors.New("%f in the pattern wants a set in [] after it")
)

// match matches the pattern from p on against the text from s on. It returns
// the end of the match, or -1.
func (m *matcher) match(s, p int) (int, error) {
	if m.depth++; m.depth > maxMatchDepth {
		return -1, errPatternDeep
	}
	if m.counted {
		m.steps += matchCost
	}
	defer func() { m.depth-- }()
	for p < len(m.pattern) {
		m.step()
		switch m.pattern[p] {
		case '(':
			if p+1 < len(m.pattern) && m.pattern[p+1] == ')' {
				return m.open(s, p+2, capturePosition)
			}
			return m.open(s, p+1, captureOpen)
		case ')':
			return m.close(s, p+1)
		case '$':
			if p+1 == len(m.pattern) {
				if s == len(m.text) {
					return s, nil
				}
				return -1, nil
			}
		case '%':
			if p+1 == len(m.pattern) {
				return -1, errPatternEnd
			}
			if next, done, end, err := m.special(s, p); done {
				return end, err
			} else if next > 0 {
				s, p = end, next
				continue
			}
		}
		next, done, end, err := m.item(s, p)
		if done || err != nil {
			return end, err
		}
		s, p = end, next
	}
	return s, nil
}

// special handles %b, %f and back references. next is 0 where p is none of these.
func (m *matcher) special(s, p int) (next int, done bool, end int, err error) {
	switch c := m.pattern[p+1]; {
	case c == 'b':
		if p+3 >= len(m.pattern) {
			return 0, true, -1, errPatternBalance
		}
		end = m.balance(s, m.pattern[p+2], m.pattern[p+3])
		return p + 4, end < 0, end, nil
	case c == 'f':
		p += 2
		if p >= len(m.pattern) || m.pattern[p] != '[' {
			return 0, true, -1, errPatternBorder
		}
		stop, err := m.itemEnd(p)
		if err != nil {
			return 0, true, -1, err
		}
		var before, here byte
		if s > 0 {
			before = m.text[s-1]
		}
		if s < len(m.text) {
			here = m.text[s]
		}
		if m.inSet(before, p, stop-1) || !m.inSet(here, p, stop-1) {
			return 0, true, -1, nil
		}
		return stop, false, s, nil
	case '0' <= c && c <= '9':
		end, err = m.reference(s, int(c-'0'))
		return p + 2, end < 0 || err != nil, end, err
	}
	return 0, false, 0, nil
}

// item matches one single-character item with its repetition. done says that
// the rest of the pattern was matched too, or cannot match.
func (m *matcher) item(s, p int) (next int, done bool, end int, err error) {
	stop, err := m.itemEnd(p)
	if err != nil {
		return 0, true, -1, err
	}
	var repeat byte
	if stop < len(m.pattern) {
		repeat = m.pattern[stop]
	}
	here := s < len(m.text) && m.single(m.text[s], p, stop)
	switch repeat {
	case '?':
		if here {
			if end, err = m.match(s+1, stop+1); err != nil || end >= 0 {
				return 0, true, end, err
			}
		}
		return stop + 1, false, s, nil
	case '*', '+':
		if repeat == '+' && !here {
			return 0, true, -1, nil
		}
		end, err = m.longest(s, p, stop, repeat == '+')
		return 0, true, end, err
	case '-':
		end, err = m.shortest(s, p, stop)
		return 0, true, end, err
	}
	if !here {
		return 0, true, -1, nil
	}
	return stop, false, s + 1, nil
}

// longest tries as many repetitions as there are, then fewer.
func (m *matcher) longest(s, p, stop int, once bool) (int, error) {
	n, least := 0, 0
	if once {
		least = 1
	}
	for s+n < len(m.text) && m.single(m.text[s+n], p, stop) {
		m.step()
		n++
	}
	for ; n >= least; n-- {
		m.step()
		if end, err := m.match(s+n, stop+1); err != nil || end >= 0 {
			return end, err
		}
	}
	return -1, nil
}

// shortest tries as few repetitions as it can, then more.
func (m *matcher) shortest(s, p, stop int) (int, error) {
	for {
		m.step()
		if end, err := m.match(s, stop+1); err != nil || end >= 0 {
			return end, err
		}
		if s >= len(m.text) || !m.single(m.text[s], p, stop) {
			return -1, nil
		}
		s++
	}
}

func (m *matcher) open(s, p, length int) (int, error) {
	if len(m.captures) >= maxCaptures {
		return -1, errPatternCapture
	}
	m.captures = append(m.captures, capture{s, length})
	n := len(m.captures)
	end, err := m.match(s, p)
	if end < 0 {
		m.captures = m.captures[:n-1]
	}
	return end, err
}

func (m *matcher) close(s, p int) (int, error) {
	for i := len(m.captures) - 1; i >= 0; i-- {
		if m.captures[i].length != captureOpen {
			continue
		}
		m.captures[i].length = s - m.captures[i].start
		end, err := m.match(s, p)
		if end < 0 {
			m.captures[i].length = captureOpen
		}
		return end, err
	}
	return -1, errPatternClose
}

func (m *matcher) balance(s int, open, shut byte) int {
	if s >= len(m.text) || m.text[s] != open {
		return -1
	}
	depth := 1
	for i := s + 1; i < len(m.text); i++ {
		m.step()
		switch m.text[i] {
		case shut:
			if depth--; depth == 0 {
				return i + 1
			}
		case open:
			depth++
		}
	}
	return -1
}

func (m *matcher) reference(s, n int) (int, error) {
	if n < 1 || n > len(m.captures) || m.captures[n-1].length == captureOpen {
		return -1, fmt.Errorf("%%%d in the pattern refers to no capture before it", n)
	}
	c := m.captures[n-1]
	if c.length == capturePosition { // a position has no text to repeat
		return -1, nil
	}
	m.charge(int64(c.length) / 8)
	want := m.text[c.start : c.start+c.length]
	if len(m.text)-s >= len(want) && m.text[s:s+len(want)] == want {
		return s + len(want), nil
	}
	return -1, nil
}

// itemEnd returns the offset after the single-character item at p.
func (m *matcher) itemEnd(p int) (int, error) {
	c := m.pattern[p]
	p++
	switch c {
	case '%':
		if p >= len(m.pattern) {
			return 0, errPatternEnd
		}
		return p + 1, nil
	case '[':
		if p < len(m.pattern) && m.pattern[p] == '^' {
			p++
		}
		for first := true; first || p >= len(m.pattern) || m.pattern[p] != ']'; first = false {
			m.step()
			if p >= len(m.pattern) {
				return 0, errPatternSet
			}
			if m.pattern[p] == '%' {
				p++ // the character after it stands for itself
			}
			p++
		}
		return p + 1, nil
	}
	return p, nil
}

// single reports whether a byte matches the item between p and stop.
func (m *matcher) single(c byte, p, stop int) bool {
	switch m.pattern[p] {
	case '.':
		return true
	case '%':
		return inClass(c, m.pattern[p+1])
	case '[':
		return m.inSet(c, p, stop-1)
	}
	return m.pattern[p] == c
}

// inSet reports whether a byte is in the set between its brackets at p and last.
func (m *matcher) inSet(c byte, p, last int) bool {
	in := true
	if p++; m.pattern[p] == '^' {
		in = false
		p++
	}
	m.steps += int64(last-p) / 4
	if m.counted {
		m.steps += int64(last - p)
	}
	for ; p < last; p++ {
		switch {
		case m.pattern[p] == '%':
			p++
			if inClass(c, m.pattern[p]) {
				return in
			}
		case p+2 < last && m.pattern[p+1] == '-':
			if m.pattern[p] <= c && c <= m.pattern[p+2] {
				return in
			}
			p += 2
		case m.pattern[p] == c:
			return in
		}
	}
	return !in
}

// inClass reports whether a byte is in a class such as %a, or, where the
// class is no letter, equals it. Classes are those of the C locale.
func inClass(c, class byte) bool {
	lower, upper := 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z'
	digit := '0' <= c && c <= '9'
	var in bool
	switch lowerByte(class) {
	case 'a':
		in = lower || upper
	case 'c':
		in = c < 32 || c == 127
	case 'd':
		in = digit
	case 'l':
		in = lower
	case 'p':
		in = 33 <= c && c <= 126 && !lower && !upper && !digit
	case 's':
		in = c == ' ' || 9 <= c && c <= 13
	case 'u':
		in = upper
	case 'w':
		in = lower || upper || digit
	case 'x':
		in = digit || 'a' <= lowerByte(c) && lowerByte(c) <= 'f'
	case 'z':
		in = c == 0
	default:
		return class == c
	}
	return in != ('A' <= class && class <= 'Z')
}
