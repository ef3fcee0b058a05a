package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
)

// The head's line is `{"journal":"candelua","format":1,"sum_by":"sha256-64","head":…,"sum":"…"}`. Its
// beginning up to the format number is the same in every format, so that a build can always say which
// format it met.
const (
	headBegin = `{"journal":"candelua","format":`
	headSumBy = `,"sum_by":"`
	headHead  = `","head":`
)

// appendHead appends the head's body, which holds the engine's own object.
func appendHead(b []byte, head any) ([]byte, error) {
	raw, err := json.Marshal(head)
	if err != nil {
		return nil, fmt.Errorf("journal: head cannot be written: %w", err)
	}
	if raw, err = compactRaw("head", raw); err != nil {
		return nil, fmt.Errorf("journal: %w", err)
	}
	b = append(b, headBegin...)
	b = strconv.AppendInt(b, Format, 10)
	b = append(b, headSumBy+sumName+headHead...)
	return append(b, raw...), nil
}

// headLine is the head's whole line.
func headLine(head any) ([]byte, error) {
	body, err := appendHead(nil, head)
	if err != nil {
		return nil, err
	}
	sum := newChain().next(body)
	line := append(append(append(body, sumKey...), sum[:]...), sumEnd+"\n"...)
	if len(line) > maxLine {
		return nil, fmt.Errorf("journal: head is %d bytes long, want at most %d", len(line), maxLine)
	}
	return line, nil
}

// parseHead returns the engine's object in a head's body. The error is a *VersionError, without a path,
// when the format is another one; damage otherwise.
func parseHead(body []byte, sumFits bool) (json.RawMessage, error) {
	rest, ok := bytes.CutPrefix(body, []byte(headBegin))
	if !ok {
		return nil, fmt.Errorf("it is not the head of a journal, want a line that begins with %s", headBegin)
	}
	end := skipDigits(rest, 0)
	if end < 0 {
		return nil, fmt.Errorf("format is not a number")
	}
	format, ok := parseInt(rest[:end])
	rest, hasSum := bytes.CutPrefix(rest[end:], []byte(headSumBy))
	rest, ours := bytes.CutPrefix(rest, []byte(sumName+headHead))
	switch {
	// Another format may have another sum, which cannot be checked. With this sum, it must fit.
	case ok && format != Format && !(hasSum && ours && !sumFits):
		return nil, &VersionError{Format: format, Reads: Format}
	case !sumFits:
		return nil, errSum
	case !ok || !hasSum || !ours:
		return nil, fmt.Errorf("the head does not name the checksum %s", sumName)
	case skipValue(rest, 0, 0) != len(rest):
		return nil, fmt.Errorf("the engine's object is not JSON")
	}
	return rest[:len(rest):len(rest)], nil
}
