package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/bits"
	"strconv"
	"unicode/utf8"
)

// parsed is a record whose fields are found but not yet decoded: values are slices of its line.
type parsed struct {
	kind Kind
	has  field
	at   [len(fieldKeys)][]byte // the fields' values, by the place of their bit
}

func (p *parsed) value(f field) []byte { return p.at[bits.TrailingZeros32(uint32(f))] }

// parseRecord finds the fields of a record that follows the head. body is its line before the sum. Only
// what Append writes is accepted: known fields in their order, no white space, none empty.
func parseRecord(body []byte, p *parsed) error {
	*p = parsed{}
	rest, ok := bytes.CutPrefix(body, []byte(`{"kind":`))
	if !ok {
		return errors.New("it does not begin with its kind")
	}
	n := skipString(rest, 0)
	if n < 0 {
		return errors.New("kind is not a string")
	}
	p.kind = kindOf(rest[1 : n-1])
	for i := n; i < len(rest); {
		if i = p.parseField(rest, i); i < 0 {
			return errors.New("a field is unknown, out of order, or not JSON")
		}
	}
	if err := checkFields(p.kind, p.has); err != nil {
		return err
	}
	return p.checkValues()
}

// kindOf returns the kind called name without allocating for the known ones.
func kindOf(name []byte) Kind {
	for _, k := range [...]Kind{KindAsk, KindSample, KindAnswer, KindVoid, KindOpen, KindClose, KindPause,
		KindResume, KindAside, KindEnd} {
		if string(name) == string(k) {
			return k
		}
	}
	return Kind(name)
}

// parseField takes `,"key":value` at b[i] and returns the index after it, or -1.
func (p *parsed) parseField(b []byte, i int) int {
	if b[i] != ',' {
		return -1
	}
	end := skipString(b, i+1)
	if end < 0 || end >= len(b) || b[end] != ':' {
		return -1
	}
	key := b[i+2 : end-1]
	// Fields come in order, so the search goes on after the last one found.
	for n := bits.Len32(uint32(p.has)); n < len(fieldKeys); n++ {
		if string(key) == fieldKeys[n] {
			to := skipValue(b, end+1, 0)
			if to < 0 {
				return -1
			}
			p.has |= 1 << n
			p.at[n] = b[end+1 : to : to]
			return to
		}
	}
	return -1
}

// checkValues reports the first field whose value is not of its type or range.
func (p *parsed) checkValues() error {
	for rest := p.has; rest != 0; {
		f := rest & -rest
		rest &^= f
		if !f.accepts(p.value(f)) {
			return fmt.Errorf("%s: %s is %.40s", p.kind, f.key(), p.value(f))
		}
	}
	if p.has&fPause != 0 {
		if err := checkPause(p.number(fPause)); err != nil {
			return err
		}
	}
	if p.has&fStatus != 0 {
		return checkStatus(Standing(p.text(fStatus)))
	}
	return nil
}

// accepts reports whether a value, which is JSON, can be the field's.
func (f field) accepts(v []byte) bool {
	switch f {
	case fStep, fBlock, fFrom:
		n, ok := parseInt(v)
		return ok && n > 0
	case fT, fPause:
		_, err := strconv.ParseFloat(string(v), 64)
		return err == nil
	case fUnbroken, fByHand:
		return string(v) == "true"
	case fArgs, fData:
		return true
	case fFailure:
		_, ok := parseFailure(v)
		return ok
	}
	return len(v) > 2 && v[0] == '"' && utf8.Valid(v) // a string that is not empty
}

// parseInt reads a whole number of at most 18 digits.
func parseInt(v []byte) (n int, ok bool) {
	if len(v) > 18 {
		return 0, false
	}
	for _, c := range v {
		if !isDigit(c) {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

// parseFailure reads `{"code":…,"message":…}` with or without a hint.
func parseFailure(v []byte) (*Failure, bool) {
	var f Failure
	for _, part := range []struct {
		key  string
		into *string
	}{{`{"code":`, &f.Code}, {`,"message":`, &f.Message}, {`,"hint":`, &f.Hint}} {
		rest, ok := bytes.CutPrefix(v, []byte(part.key))
		if !ok && part.into == &f.Hint {
			break
		}
		end := skipString(rest, 0)
		if !ok || end < 0 || !utf8.Valid(rest[:end]) {
			return nil, false
		}
		*part.into = unquote(rest[:end])
		v = rest[end:]
	}
	return &f, string(v) == "}"
}

// unquote decodes a JSON string that has been scanned.
func unquote(quoted []byte) string {
	if bytes.IndexByte(quoted, '\\') < 0 {
		return string(quoted[1 : len(quoted)-1])
	}
	var s string
	if err := json.Unmarshal(quoted, &s); err != nil {
		panic(fmt.Sprintf("journal: a scanned string cannot be decoded: %v", err))
	}
	return s
}

func (p *parsed) text(f field) string {
	if v := p.value(f); v != nil {
		return unquote(v)
	}
	return ""
}

func (p *parsed) int(f field) int {
	n, _ := parseInt(p.value(f))
	return n
}

func (p *parsed) number(f field) float64 {
	if v := p.value(f); v != nil {
		x, _ := strconv.ParseFloat(string(v), 64) // checked by accepts
		return x
	}
	return 0
}

func (p *parsed) failure() *Failure {
	f, _ := parseFailure(p.value(fFailure))
	return f
}

// record decodes all fields. Raw values still share the line's bytes.
func (p *parsed) record() Record {
	return Record{
		Kind: p.kind, Step: p.int(fStep), Name: p.text(fName), Device: p.text(fDevice),
		Block: p.int(fBlock), Unbroken: p.has&fUnbroken != 0, From: p.int(fFrom),
		Args: p.value(fArgs), Data: p.value(fData), Failure: p.failure(),
		At: p.text(fAt), T: p.number(fT), ByHand: p.has&fByHand != 0,
		Reason: p.text(fReason), Status: Standing(p.text(fStatus)), PauseSeconds: p.number(fPause),
	}
}
