package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"
)

// appendRecord appends r without its sum and closing brace. The order of the fields is fixed, so equal
// records give equal bytes.
func appendRecord(b []byte, r *Record, has field) []byte {
	b = append(b, `{"kind":"`...)
	b = append(b, r.Kind...)
	b = append(b, '"')
	for rest := has; rest != 0; {
		f := rest & -rest
		rest &^= f
		b = append(b, ',', '"')
		b = append(b, f.key()...)
		b = append(b, '"', ':')
		b = appendField(b, r, f)
	}
	return b
}

// appendField appends the value of one field.
func appendField(b []byte, r *Record, f field) []byte {
	switch f {
	case fStep:
		return strconv.AppendInt(b, int64(r.Step), 10)
	case fName:
		return appendString(b, r.Name)
	case fDevice:
		return appendString(b, r.Device)
	case fBlock:
		return strconv.AppendInt(b, int64(r.Block), 10)
	case fFrom:
		return strconv.AppendInt(b, int64(r.From), 10)
	case fArgs:
		return append(b, r.Args...)
	case fData:
		return append(b, r.Data...)
	case fFailure:
		return appendFailure(b, r.Failure)
	case fAt:
		return appendString(b, r.At)
	case fT:
		return appendFloat(b, r.T)
	case fReason:
		return appendString(b, r.Reason)
	case fStatus:
		return appendString(b, string(r.Status))
	case fPause:
		return appendFloat(b, r.PauseSeconds)
	}
	return append(b, "true"...) // unbroken, by_hand
}

func appendFailure(b []byte, f *Failure) []byte {
	b = append(b, `{"code":`...)
	b = appendString(b, f.Code)
	b = append(b, `,"message":`...)
	b = appendString(b, f.Message)
	if f.Hint != "" {
		b = append(b, `,"hint":`...)
		b = appendString(b, f.Hint)
	}
	return append(b, '}')
}

// appendFloat appends the shortest decimal that reads back as f, in plain notation from 1e-6 to 1e21, as
// encoding/json does. f is finite.
func appendFloat(b []byte, f float64) []byte {
	if a := math.Abs(f); a != 0 && (a < 1e-6 || a >= 1e21) {
		return strconv.AppendFloat(b, f, 'e', -1, 64)
	}
	return strconv.AppendFloat(b, f, 'f', -1, 64)
}

const hexDigits = "0123456789abcdef"

// appendString appends s as a JSON string. Only what [RFC8259] section 7 wants escaped is; bytes that are
// not UTF-8 become U+FFFD, because a JSON text cannot hold them.
func appendString(b []byte, s string) []byte {
	b = append(b, '"')
	from := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c >= ' ' && c != '"' && c != '\\' && c < utf8.RuneSelf {
			i++
			continue
		}
		size := 1
		if c >= utf8.RuneSelf {
			var r rune
			if r, size = utf8.DecodeRuneInString(s[i:]); r != utf8.RuneError || size > 1 {
				i += size
				continue
			}
		}
		b = append(b, s[from:i]...)
		b = appendEscape(b, c)
		i += size
		from = i
	}
	b = append(b, s[from:]...)
	return append(b, '"')
}

// appendEscape appends the escape of a quote, a backslash, a control character or a byte that is not UTF-8.
func appendEscape(b []byte, c byte) []byte {
	switch {
	case c == '"' || c == '\\':
		return append(b, '\\', c)
	case c == '\n':
		return append(b, '\\', 'n')
	case c == '\t':
		return append(b, '\\', 't')
	case c < ' ':
		return append(b, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
	}
	return append(b, `\ufffd`...)
}

// compactRaw returns a raw value as records carry it: valid JSON on one line, without white space between
// tokens. A value that is so already, as the engine's are, is returned as it is.
func compactRaw(what string, raw json.RawMessage) (json.RawMessage, error) {
	if len(raw) == 0 || skipValue(raw, 0, 0) == len(raw) {
		return raw, nil
	}
	var b bytes.Buffer
	if err := json.Compact(&b, raw); err != nil {
		return nil, fmt.Errorf("%s is not JSON: %w", what, err)
	}
	if skipValue(b.Bytes(), 0, 0) != b.Len() {
		return nil, fmt.Errorf("%s is nested deeper than %d", what, maxDepth)
	}
	return b.Bytes(), nil
}
