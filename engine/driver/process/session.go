package process

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/driver/child"
	"candelua/engine/fault"
)

const (
	protocol    = 1
	mostLine    = 512 << 10
	aliveWithin = 2 * time.Second
	mostNoise   = 1000 // lines that are skipped for one answer
)

// message is one line, either way.
type message struct {
	Version string          `json:"jsonrpc"`
	ID      *int64          `json:"id,omitempty"`
	Method  string          `json:"method,omitempty"`
	Params  any             `json:"params,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *failure        `json:"error,omitempty"`
}

// failure is what a program answers in place of a result.
type failure struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

// The codes of failures.
const (
	codeUnsupported = -32001
	codeGone        = -32002
	codeNoMethod    = -32601
)

// err makes an error of a failure.
func (f *failure) err() error {
	text := f.Message
	if text == "" {
		text = fmt.Sprintf("error %d", f.Code)
	}
	switch f.Code {
	case codeUnsupported, codeNoMethod:
		return bench.Errorf(bench.CodeUnsupported, "", "the driver's program cannot do this: %s", text)
	case codeGone:
		return driver.Lost("%s", text)
	}
	return driver.Refused("%s", text)
}

// opening is what a program is told first, and welcome what it answers.
type opening struct {
	Protocol int            `json:"protocol"`
	Kind     bench.Kind     `json:"kind"`
	Settings map[string]any `json:"settings"`
}

type welcome struct {
	Protocol int           `json:"protocol"`
	Name     string        `json:"name"`
	Serial   string        `json:"serial"`
	Firmware string        `json:"firmware"`
	Verbs    []driver.Verb `json:"verbs"`
	Spectrum bool          `json:"spectrum"`
	Sync     bool          `json:"sync"`
	Lamps    []string      `json:"lamps"`
	Shows    []string      `json:"shows"`
	Floor    float64       `json:"floor"`
}

// session is a program that runs.
type session struct {
	c     *connector
	p     *child.Program
	asks  int64
	said  json.RawMessage // its last result
	noise string          // the last line since the request that was no message
}

// Explain implements [driver.Explainer]: what the program answered.
func (s *session) Explain(_ driver.Verb, err error) error {
	return bench.Errorf(fault.CodeOf(err), fault.HintOf(err), "%w (the driver's program answered %s)", err, driver.Short(string(s.said)))
}

func (c *connector) connect(ctx context.Context) (driver.Session, driver.Card, error) {
	p, err := c.keeper.Start(child.Spec{Args: c.run, Dir: c.folder})
	if err != nil {
		return nil, driver.Card{}, err
	}
	s := &session{c: c, p: p}
	card, err := s.open(ctx)
	if err != nil {
		return nil, card, errors.Join(err, s.Close())
	}
	return s, card, nil
}

func (s *session) open(ctx context.Context) (card driver.Card, err error) {
	if s.c.within > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeoutCause(ctx, s.c.within, driver.TimedOut("the answer to open", s.c.within.Seconds()))
		defer cancel()
	}
	ask := opening{protocol, s.c.kind, s.c.settings}
	if ask.Settings == nil {
		ask.Settings = map[string]any{}
	}
	var w welcome
	if err := s.call(ctx, "open", ask, &w); err != nil {
		return card, err
	}
	switch {
	case w.Protocol != protocol:
		return card, driver.Garbled("", "the driver's program speaks protocol %d; it must be %d", w.Protocol, protocol)
	case w.Name == "":
		return card, driver.Garbled(`answer open with a name, as in {"protocol":1,"name":"Dunlin 3","verbs":["read"]}`, "the driver's program gives no name")
	}
	for _, v := range w.Verbs {
		if _, known := driver.MessageOf(v); !known {
			return card, driver.Garbled("", "the driver's program gives the verb %q, which is unknown", driver.Short(string(v)))
		}
	}
	return driver.Card{Name: w.Name, Serial: w.Serial, Firmware: w.Firmware, Verbs: w.Verbs, Spectrum: w.Spectrum, Sync: w.Sync, Lamps: w.Lamps, Shows: w.Shows, Floor: w.Floor},
		driver.CheckShows(w.Shows)
}

// Do implements [driver.Session].
func (s *session) Do(ctx context.Context, v driver.Verb, ask, answer any) error {
	return s.call(ctx, string(v), ask, answer)
}

// Resync implements [driver.Session]: late answers have old numbers, so the program need only be alive.
func (s *session) Resync(ctx context.Context) error {
	ctx, cancel := context.WithTimeoutCause(ctx, aliveWithin, driver.ErrNoResync)
	defer cancel()
	return s.call(ctx, "alive", struct{}{}, new(struct{}))
}

// Close implements [driver.Session].
func (s *session) Close() error { return s.p.Close() }

// call asks the program for one thing.
func (s *session) call(ctx context.Context, method string, ask, answer any) error {
	s.asks++
	s.noise = ""
	id := s.asks
	line, err := json.Marshal(message{Version: "2.0", ID: &id, Method: method, Params: ask})
	if err != nil {
		return err
	}
	if err := s.p.Write(ctx, append(line, '\n')); err != nil {
		return s.why(ctx, err)
	}
	for range mostNoise {
		got, err := s.next(ctx)
		if err != nil {
			return err
		}
		switch {
		case got == nil:
			continue
		case got.ID == nil && got.Method == "log":
			s.log(got.Params)
		case got.ID == nil && got.Error != nil:
			return driver.Garbled("", "the driver's program could not read a request: %s", driver.Short(got.Error.Message))
		case got.ID == nil || *got.ID != id:
			s.c.trace(fmt.Sprintf("%s: an answer that nobody waits for is dropped", s.c.kind))
		case got.Error != nil:
			return got.Error.err()
		default:
			s.said = got.Result
			return take(got.Result, answer)
		}
	}
	return driver.Garbled("", "the driver's program wrote %d lines that were no answer", mostNoise)
}

// next reads one line; nil where it is no message.
func (s *session) next(ctx context.Context) (*message, error) {
	line, err := s.p.Out.Take(ctx, func(held []byte) (int, error) {
		if end := bytes.IndexByte(held, '\n'); end >= 0 && end < mostLine {
			return end + 1, nil
		}
		if len(held) >= mostLine {
			return 0, driver.Lost("the driver's program wrote a line of more than %d bytes", mostLine)
		}
		return 0, nil
	})
	if err != nil {
		return nil, s.why(ctx, err)
	}
	line = bytes.TrimSpace(line)
	if len(line) == 0 || line[0] != '{' {
		s.c.trace(fmt.Sprintf("%s: a line that is no message is skipped: %s", s.c.kind, driver.Short(string(line))))
		if len(line) > 0 {
			s.noise = string(line)
		}
		return nil, nil
	}
	var m message
	if err := json.Unmarshal(line, &m); err != nil {
		return nil, driver.Garbled("", "the driver's program wrote a line that is no JSON: %s (%w)", driver.Short(string(line)), err)
	}
	return &m, nil
}

func take(result json.RawMessage, answer any) error {
	if len(result) == 0 || result[0] != '{' {
		return driver.Garbled(`the result must be an object, as in {"Y":200.5}`, "the driver's program answered %s", driver.Short(string(result)))
	}
	if err := json.Unmarshal(result, answer); err != nil {
		return driver.Garbled("", "the driver's program answered %s: %w", driver.Short(string(result)), err)
	}
	return nil
}

// log hands on what the program logs.
func (s *session) log(params any) {
	fields, _ := params.(map[string]any)
	level, _ := fields["level"].(string)
	text, _ := fields["message"].(string)
	s.c.log(level, fmt.Sprintf("%s: %s", s.c.kind, text))
}

// why says why nothing more will come; where ctx is done, that is why.
func (s *session) why(ctx context.Context, err error) error {
	switch {
	case ctx.Err() != nil:
		return s.withLastWords(s.withNoise(context.Cause(ctx)))
	case errors.Is(err, driver.ErrLost):
		return err
	}
	return driver.Lost("the driver's program %s", s.p.Silence())
}

// withNoise adds to a time-out what the program wrote and nobody could use.
func (s *session) withNoise(err error) error {
	if s.noise == "" || fault.CodeOf(err) != bench.CodeTimeout {
		return err
	}
	return bench.Errorf(bench.CodeTimeout, fault.HintOf(err), "%w; it wrote %q, which is no message", err, driver.Short(s.noise))
}

func (s *session) withLastWords(err error) error {
	words := s.p.LastWords()
	told, ok := errors.AsType[*bench.Error](err)
	if words == "" || !ok {
		return err
	}
	return bench.Errorf(told.Code(), told.Hint(), "%w; the program's last words: %s", err, driver.Short(words))
}
