package journal

// maxDepth is how deep arrays and objects may nest in what a record carries.
const maxDepth = 512

// skipValue returns the index just past the JSON value that starts at b[i], or -1 where there is none.
//
// It accepts the values of [RFC8259] without white space between tokens, which is how records are
// written, and nothing nested deeper than maxDepth. Bytes in strings are not checked to be UTF-8.
func skipValue(b []byte, i, depth int) int {
	if i < 0 || i >= len(b) {
		return -1
	}
	switch c := b[i]; {
	case c == '"':
		return skipString(b, i)
	case c == '{':
		return skipList(b, i, depth, '}', true)
	case c == '[':
		return skipList(b, i, depth, ']', false)
	case c == '-' || isDigit(c):
		return skipNumber(b, i)
	case c == 't':
		return skipWord(b, i, "true")
	case c == 'f':
		return skipWord(b, i, "false")
	case c == 'n':
		return skipWord(b, i, "null")
	}
	return -1
}

// skipList skips an array or an object (keyed) from its opening bracket to its closing one.
func skipList(b []byte, i, depth int, closing byte, keyed bool) int {
	if depth >= maxDepth {
		return -1
	}
	i++
	if i < len(b) && b[i] == closing {
		return i + 1
	}
	for {
		if keyed {
			if i = skipString(b, i); i < 0 || i >= len(b) || b[i] != ':' {
				return -1
			}
			i++
		}
		if i = skipValue(b, i, depth+1); i < 0 || i >= len(b) {
			return -1
		}
		switch b[i] {
		case closing:
			return i + 1
		case ',':
			i++
		default:
			return -1
		}
	}
}

// skipString skips a string that begins with the quote b[i].
func skipString(b []byte, i int) int {
	if i >= len(b) || b[i] != '"' {
		return -1
	}
	for i++; i < len(b); i++ {
		switch c := b[i]; {
		case c == '"':
			return i + 1
		case c < ' ':
			return -1
		case c == '\\':
			if i = skipEscape(b, i); i < 0 {
				return -1
			}
		}
	}
	return -1
}

// skipEscape returns the index of the last byte of the escape whose backslash is b[i].
func skipEscape(b []byte, i int) int {
	i++
	if i >= len(b) {
		return -1
	}
	switch b[i] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		return i
	case 'u':
		if len(b)-i < 5 {
			return -1
		}
		for _, c := range b[i+1 : i+5] {
			if !isDigit(c) && (c < 'a' || c > 'f') && (c < 'A' || c > 'F') {
				return -1
			}
		}
		return i + 4
	}
	return -1
}

// skipNumber skips a number: -? (0 | [1-9][0-9]*) (. [0-9]+)? ([eE] [+-]? [0-9]+)?
func skipNumber(b []byte, i int) int {
	if b[i] == '-' {
		i++
	}
	if i < len(b) && b[i] == '0' {
		i++
	} else if i = skipDigits(b, i); i < 0 {
		return -1
	}
	if i < len(b) && b[i] == '.' {
		if i = skipDigits(b, i+1); i < 0 {
			return -1
		}
	}
	if i < len(b) && (b[i] == 'e' || b[i] == 'E') {
		i++
		if i < len(b) && (b[i] == '+' || b[i] == '-') {
			i++
		}
		return skipDigits(b, i)
	}
	return i
}

// skipDigits skips one digit or more.
func skipDigits(b []byte, i int) int {
	from := i
	for i < len(b) && isDigit(b[i]) {
		i++
	}
	if i == from {
		return -1
	}
	return i
}

func skipWord(b []byte, i int, word string) int {
	if len(b)-i < len(word) || string(b[i:i+len(word)]) != word {
		return -1
	}
	return i + len(word)
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
