package scripted

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"
)

// protocol is how an invented instrument speaks.
type protocol interface {
	// next cuts the first whole question off what came; nil where there is none yet.
	next(came []byte) (question, rest []byte)
	// reads says whether a question asks for a reading.
	reads(question []byte) bool
	// reading is the answer with a reading that reads y, written as stated: a number, or what is none.
	reading(n int, y string) []byte
	// other answers another question.
	other(question []byte) []byte
}

// emulator is an instrument that works through its questions one after the other, as instruments do. Its nth
// reading reads n, so that a reading which is taken for another one shows. Readings go wrong as stated.
type emulator struct {
	protocol
	faults   []string      // by reading; those beyond have none
	timeout  time.Duration // of who asks
	outlives bool          // an answer comes over whichever connection there is when it is ready

	mu    sync.Mutex
	asked int
	conn  io.ReadWriteCloser
	queue chan asked
	done  sync.WaitGroup
}

type asked struct {
	question []byte
	conn     io.ReadWriteCloser
}

// start begins to work. stop must be called.
func (e *emulator) start() {
	queue := make(chan asked, 1000)
	e.queue = queue
	e.done.Go(func() {
		for q := range queue {
			e.work(q)
		}
	})
}

func (e *emulator) stop() {
	e.mu.Lock()
	if e.conn != nil {
		e.conn.Close()
	}
	close(e.queue)
	e.queue = nil
	e.mu.Unlock()
	e.done.Wait()
}

// attach takes a connection in place of the one before.
func (e *emulator) attach(conn io.ReadWriteCloser) {
	e.mu.Lock()
	e.conn = conn
	e.mu.Unlock()
	e.done.Go(func() {
		var came []byte
		buffer := make([]byte, 4096)
		for {
			n, err := conn.Read(buffer)
			if err != nil {
				return
			}
			came = append(came, buffer[:n]...)
			for {
				question, rest := e.next(came)
				if question == nil {
					break
				}
				came = rest
				e.mu.Lock()
				if e.queue != nil {
					e.queue <- asked{question, conn}
				}
				e.mu.Unlock()
			}
		}
	})
}

func (e *emulator) say(q asked, b []byte) {
	conn := q.conn
	if e.outlives {
		e.mu.Lock()
		conn = e.conn
		e.mu.Unlock()
	}
	_, _ = conn.Write(b) // nobody may be there any more
}

func (e *emulator) readings() int {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.asked
}

// work answers a question, well or as the fault says.
func (e *emulator) work(q asked) {
	if !e.reads(q.question) {
		if answer := e.other(q.question); answer != nil {
			e.say(q, answer)
		}
		return
	}
	e.mu.Lock()
	e.asked++
	n, fault := e.asked, ""
	if n <= len(e.faults) {
		fault = e.faults[n-1]
	}
	e.mu.Unlock()
	right := e.reading(n, fmt.Sprint(n))
	switch fault {
	case "":
		e.say(q, right)
	case "silence":
	case "half":
		e.say(q, right[:len(right)/2])
	case "two":
		e.say(q, append(right, e.reading(n, fmt.Sprint(n, ".5"))...))
	case "late":
		time.Sleep(e.timeout * 3 / 2)
		e.say(q, right)
	case "behind": // it goes on with other questions meanwhile
		e.done.Go(func() {
			time.Sleep(e.timeout * 3 / 2)
			e.say(q, right)
		})
	case "garbage":
		e.say(q, []byte("\x00\xff\x1b[2J%%%\x02\x02\x02~~~~~~~~~~~~~~~~\r\n"))
	case "nan", "1e400", "inf":
		e.say(q, e.reading(n, fault))
	case "long":
		block := bytes.Repeat([]byte("7"), 64<<10)
		for range 10 << 20 / len(block) {
			e.say(q, block)
		}
	case "drip":
		for i := range right {
			time.Sleep(e.timeout / 4)
			e.say(q, right[i:i+1])
		}
	case "slow drip": // and still in time
		for i := range right {
			time.Sleep(e.timeout / 100)
			e.say(q, right[i:i+1])
		}
	case "closed":
		e.say(q, right[:1])
		q.conn.Close()
	default:
		panic(fault)
	}
}

// nextLine cuts a line off.
func nextLine(came []byte, end string) (line, rest []byte) {
	if i := bytes.Index(came, []byte(end)); i >= 0 {
		return came[:i:i], came[i+len(end):]
	}
	return nil, came
}

// dunlin speaks lines.
type dunlin struct{}

func (dunlin) next(came []byte) ([]byte, []byte) { return nextLine(came, "\r") }
func (dunlin) reads(q []byte) bool               { return string(q) == "M" }
func (dunlin) reading(_ int, y string) []byte    { return []byte("OK " + y + " 0.3127 0.3290\r\n") }
func (dunlin) other(q []byte) []byte {
	switch {
	case string(q) == "ID":
		return []byte("DUNLIN 12 1.4\r\n")
	case strings.HasPrefix(string(q), "E "):
		return []byte(string(q) + "\r\n")
	}
	return []byte("ER 9\r\n")
}

// heron takes SCPI commands, some in one line.
type heron struct {
	ese    string
	errors []string
}

func (*heron) next(came []byte) ([]byte, []byte) { return nextLine(came, "\n") }
func (*heron) reads(q []byte) bool               { return string(q) == "MEAS:XYZ?" }
func (*heron) reading(_ int, y string) []byte    { return []byte(y + "," + y + "," + y + "\n") }
func (h *heron) other(q []byte) (answer []byte) {
	for command := range strings.SplitSeq(string(q), ";") {
		name, argument, _ := strings.Cut(command, " ")
		switch name {
		case "*CLS":
			h.errors = nil
		case "*ESE":
			h.ese = argument
		case "*ESE?":
			answer = append(answer, h.ese+"\n"...)
		case "*IDN?":
			answer = append(answer, "Tern Street,Heron,77,2.0\n"...)
		case "SENS:SPEED":
			if argument != "AUTO" && argument != "FAST" && argument != "SLOW" {
				h.errors = append(h.errors, `-224,"Illegal parameter value"`)
			}
		case "MEAS:SPEC?":
			answer = append(answer, "380,5,0.001,0.002,0.003\n"...)
		case "SYST:ERR?":
			if len(h.errors) == 0 {
				answer = append(answer, "0,\"No error\"\n"...)
			} else {
				answer = append(answer, h.errors[0]+"\n"...)
				h.errors = h.errors[1:]
			}
		default:
			h.errors = append(h.errors, `-113,"Undefined header"`)
		}
	}
	return answer
}

// knot speaks in frames with a sum.
type knot struct{}

func frame(kind byte, payload []byte) []byte {
	f := append([]byte{2, kind, byte(len(payload))}, payload...)
	sum := 0
	for _, c := range f {
		sum += int(c)
	}
	return append(f, byte(sum))
}

func (knot) next(came []byte) ([]byte, []byte) {
	if len(came) < 3 || len(came) < 4+int(came[2]) {
		return nil, came
	}
	n := 4 + int(came[2])
	return came[:n:n], came[n:]
}
func (knot) reads(q []byte) bool { return q[1] == 'R' }
func (knot) reading(n int, y string) []byte {
	var f float64
	switch y {
	case "nan":
		f = math.NaN()
	case "1e400", "inf": // which a float cannot hold
		f = math.Inf(1)
	default:
		fmt.Sscan(y, &f)
	}
	p := binary.LittleEndian.AppendUint16(nil, uint16(n))
	p = append(p, 0)
	return frame('R', binary.LittleEndian.AppendUint32(p, math.Float32bits(float32(f))))
}
func (knot) other(q []byte) []byte {
	switch q[1] {
	case 'I':
		return frame('I', []byte{210, 4, 0, 0, 3})
	case 'P':
		return frame('P', q[3:len(q)-1])
	}
	return frame('?', nil)
}

// whimbrel repeats what it is sent, writes numbers with a decimal comma, and ends with a mark in place of an end of line.
type whimbrel struct{}

func (whimbrel) next(came []byte) ([]byte, []byte) { return nextLine(came, "\r") }
func (whimbrel) reads(q []byte) bool               { return string(q) == "MES" }
func (whimbrel) reading(n int, y string) []byte {
	var x float64
	if _, err := fmt.Sscan(y, &x); err == nil && !math.IsInf(x, 0) && !math.IsNaN(x) {
		y = strings.Replace(fmt.Sprintf("%+.4E", x), ".", ",", 1)
	}
	notice := map[bool]string{true: "# LAMP 34C\r\n"}[n%2 == 0]
	return []byte("MES\r\n" + notice + "Y=" + y + ";x=+3,1270E-01;y=+3,2900E-01\r\n> ")
}
func (whimbrel) other(q []byte) []byte {
	answer := "?1 SYNTAX"
	if string(q) == "ID" {
		answer = "WHIMBREL SN 0042"
	} else if tag, is := strings.CutPrefix(string(q), "TAG "); is {
		answer = "TAG=" + tag
	}
	return []byte("# FAN OK\r\n" + string(q) + "\r\n" + answer + "\r\n> ")
}

// turnstone speaks in frames with escaped bytes and a checksum. An answer has the number of its question.
type turnstone struct{ number byte }

// escaped makes a frame. The checksum is that of ISO/IEC 3309 (CRC-16/X-25; from memory), computed bit by bit.
func escaped(body []byte) []byte {
	crc := uint16(0xFFFF)
	for _, c := range body {
		crc ^= uint16(c)
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ 0x8408
			} else {
				crc >>= 1
			}
		}
	}
	out := []byte{0x7E}
	for _, c := range binary.LittleEndian.AppendUint16(bytes.Clone(body), ^crc) {
		if c == 0x7E || c == 0x7D {
			out = append(out, 0x7D)
			c ^= 0x20
		}
		out = append(out, c)
	}
	return append(out, 0x7E)
}

func (*turnstone) next(came []byte) ([]byte, []byte) {
	for {
		raw, rest := nextLine(came, "\x7E")
		if raw == nil {
			return nil, came
		}
		came = rest
		plain := []byte{}
		for i := 0; i < len(raw); i++ {
			if raw[i] == 0x7D && i+1 < len(raw) {
				i++
				plain = append(plain, raw[i]^0x20)
			} else {
				plain = append(plain, raw[i])
			}
		}
		if len(plain) >= 4 && bytes.Equal(escaped(plain[:len(plain)-2]), append(append([]byte{0x7E}, raw...), 0x7E)) {
			return plain[:len(plain)-2], came
		}
	}
}

func (s *turnstone) reads(q []byte) bool {
	s.number = q[0] // questions are worked through one after the other
	return q[1] == 3
}

func (s *turnstone) reading(_ int, y string) []byte {
	x := math.NaN()
	switch y {
	case "nan":
	case "1e400", "inf":
		x = math.Inf(1)
	default:
		fmt.Sscan(y, &x)
	}
	body := []byte{s.number, 0x83, 0}
	for _, v := range []float64{x, 0.3127, 0.329} {
		body = binary.LittleEndian.AppendUint32(body, math.Float32bits(float32(v)))
	}
	return escaped(body)
}

func (s *turnstone) other(q []byte) []byte {
	data := q[2:]
	if q[1] == 1 {
		data = []byte("TURNSTONE 0042")
	}
	return escaped(append([]byte{q[0], q[1] | 0x80, 0}, data...))
}

// redshank takes a patch at once and is busy with it for a while. Taking one is what goes wrong as stated.
type redshank struct {
	mu    sync.Mutex
	shown string
	busy  int
}

func (*redshank) next(came []byte) ([]byte, []byte) { return nextLine(came, "\r\n") }
func (r *redshank) reads(q []byte) bool {
	window, is := strings.CutPrefix(string(q), "WIN ")
	if is {
		r.mu.Lock()
		r.shown, r.busy = window, 3
		r.mu.Unlock()
	}
	return is
}
func (*redshank) reading(int, string) []byte { return []byte("202 ACCEPTED\r\n") }
func (r *redshank) other(q []byte) []byte {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case string(q) == "WHO":
		return []byte("200 REDSHANK 0042\r\n")
	case string(q) == "STAT" && r.busy > 0:
		r.busy--
		return []byte("503 BUSY\r\n")
	case string(q) == "STAT":
		return []byte("200 SHOWN\r\n")
	}
	return append([]byte("200 "), append(bytes.Clone(q), "\r\n"...)...)
}
