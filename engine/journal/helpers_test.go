package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp/cmpopts"
)

// noRecords leaves out where blocks were opened.
var noRecords = cmpopts.IgnoreFields(Block{}, "Record", "End")

// benchHead is a head as an engine might write it.
type benchHead struct {
	Procedure string `json:"procedure"`
	Unit      string `json:"unit"`
	Mode      string `json:"mode"`
	Seed      int    `json:"seed"`
}

var ternHead = benchHead{"window-sweep", "Heron 6", "Calm", 1}

func raw(format string, a ...any) json.RawMessage {
	return json.RawMessage(fmt.Sprintf(format, a...))
}

// showStep and readStep return the records of a step as a window sweep on the Tern Street bench has them.
func showStep(n int, t, window float64) []Record {
	return []Record{
		{Kind: KindAsk, Step: n, Name: "patches.show", Device: "patches", At: "window-sweep.lua:19", T: t,
			Args: raw(`{"grey":1,"window":%g,"background":0,"signal":"sdr"}`, window)},
		{Kind: KindAnswer, Step: n, T: t + 0.25, Data: raw(`{"lit":%g,"u_lit":0.008,"area":%g}`, t+0.21, window)},
	}
}

func readStep(n int, t, luminance float64, readings int) []Record {
	records := []Record{{Kind: KindAsk, Step: n, Name: "meter.read", Device: "meter", At: "window-sweep.lua:20", T: t,
		Args: raw(`{"after":2,"relative":0.5,"least":5}`)}}
	for i := range readings {
		y := luminance * (1 + 0.001*float64(i%3-1))
		records = append(records, Record{Kind: KindSample, Step: n,
			Data: raw(`{"X":%.4f,"Y":%.4f,"Z":%.4f,"began":%g,"took":0.4,"flags":[]}`, 0.95*y, y, 1.09*y, t+float64(i)/2)})
	}
	return append(records, Record{Kind: KindAnswer, Step: n, T: t + float64(readings)/2, Data: raw(`{"n":%d}`, readings)})
}

// doneRun is an uninterrupted run with two parts and a decision.
func doneRun() []Record {
	records := []Record{
		{Kind: KindAside, Name: "caution", T: 0, Data: raw(`{"accepted":true}`), ByHand: true},
		{Kind: KindOpen, Name: "sweep", Block: 1, At: "window-sweep.lua:15"},
	}
	t := 0.0
	for i, w := range []float64{2, 10, 100} {
		records = append(records, showStep(2*i+1, t, w)...)
		records = append(records, readStep(2*i+2, t+0.25, 700-2*w, 5)...)
		t += 12.75
	}
	return append(records,
		Record{Kind: KindClose, Block: 1, T: t},
		Record{Kind: KindAsk, Step: 7, Name: "run.decide", T: t, At: "window-sweep.lua:28", Args: raw(`{"name":"brightest"}`)},
		Record{Kind: KindAnswer, Step: 7, T: t, Data: raw(`2`)},
		Record{Kind: KindAside, Name: "safe end", Device: "patches", T: t, Args: raw(`{"grey":0}`)},
		Record{Kind: KindEnd, T: t, Status: Done, Data: raw(`{"steps":7}`)},
	)
}

// mendedRun has all that can befall a run: a retake after a crash, an unbroken block set aside, a failure
// that was caught, one that ended the run, a pause and a reading by hand.
func mendedRun() []Record {
	all := append(showStep(1, 0, 10), readStep(2, 0.25, 512.5, 3)[:3]...) // the machine went down in step 2
	all = append(all, Record{Kind: KindResume, T: 0.25, PauseSeconds: 86.5, Reason: "no end was recorded"},
		Record{Kind: KindAside, Name: "restore", Device: "patches", T: 0.25, Args: raw(`{"step":1}`), Data: raw(`{}`)})
	all = append(all, readStep(2, 0.25, 512.5, 3)...)
	all = append(all, Record{Kind: KindOpen, Name: "decay", Block: 1, Unbroken: true, T: 1.75, At: "retention.lua:40"})
	all = append(all, readStep(3, 1.75, 0.31, 2)...)
	all = append(all, Record{Kind: KindPause, T: 2.75, Reason: "stopped by the operator"},
		Record{Kind: KindEnd, T: 2.75, Status: Paused, Reason: "stopped by the operator"},
		Record{Kind: KindVoid, From: 3, T: 2.75, Reason: "unbroken block \"decay\" was interrupted"},
		Record{Kind: KindResume, T: 1.75, PauseSeconds: 3600},
		Record{Kind: KindOpen, Name: "decay", Block: 1, Unbroken: true, T: 1.75, At: "retention.lua:40"})
	all = append(all, readStep(3, 1.75, 0.29, 2)...)
	return append(all,
		Record{Kind: KindClose, Block: 1, T: 2.75, Failure: &Failure{Code: "script", Message: "the fit has no solution"}},
		Record{Kind: KindAsk, Step: 4, Name: "rig.lux", Device: "rig", At: "retention.lua:52", T: 2.75, Args: raw(`{"at":"screen"}`)},
		Record{Kind: KindAnswer, Step: 4, T: 30, ByHand: true, Data: raw(`{"lux":5.2}`)},
		Record{Kind: KindAsk, Step: 5, Name: "meter.read", Device: "reference", At: "retention.lua:53", T: 30},
		Record{Kind: KindAnswer, Step: 5, T: 40, Failure: &Failure{"timeout", "reference did not answer in 10 s", "look at its cable"}},
		Record{Kind: KindVoid, From: 5, T: 40, Reason: "the failure ended the run"},
		Record{Kind: KindEnd, T: 40, Status: Failed, Failure: &Failure{Code: "timeout", Message: "reference did not answer in 10 s"}})
}

// built returns a journal in memory with these records.
func built(t testing.TB, records []Record) *Journal {
	t.Helper()
	j, err := Memory(ternHead)
	if err != nil {
		t.Fatal(err)
	}
	appendAll(t, j, records)
	return j
}

func appendAll(t testing.TB, j *Journal, records []Record) {
	t.Helper()
	for i, r := range records {
		if err := j.Append(r); err != nil {
			t.Fatalf("record %d of %d: %v", i+1, len(records), err)
		}
	}
}

// saved writes bytes to a new file and returns its path.
func saved(t testing.TB, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "journal.jsonl")
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// wantDamage fails unless err is damage of a record.
func wantDamage(t testing.TB, err error, record int) {
	t.Helper()
	var d *DamageError
	if !errors.As(err, &d) || !errors.Is(err, ErrDamaged) {
		t.Fatalf("error is %v, want a DamageError", err)
	}
	if d.Record != record {
		t.Fatalf("error is %v, want record %d", err, record)
	}
}

// lines returns the lines of a journal with their newlines.
func lines(data []byte) [][]byte {
	var all [][]byte
	from := 0
	for i, c := range data {
		if c == '\n' {
			all = append(all, data[from:i+1])
			from = i + 1
		}
	}
	return all
}

// resealed gives every line the sum that it should have, so that only the grammar can be wrong.
func resealed(data []byte) []byte {
	var out []byte
	c := newChain()
	for _, line := range lines(data) {
		body := line[:len(line)-1-tailLen]
		sum := c.next(body)
		c.move(sum)
		out = append(append(append(append(out, body...), sumKey...), sum[:]...), sumEnd+"\n"...)
	}
	return out
}
