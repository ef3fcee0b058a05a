package journal

import (
	"fmt"
	"slices"
)

// view is the grammar of records and what they mean: the steps and blocks in effect. It knows
// records by number only; their bytes are the journal's.
type view struct {
	entries    []entry     // all records, in order
	steps      []stepEntry // answered steps in effect
	blocks     []Block     // blocks in effect, in the order of opening
	open       []int       // places in blocks of those that are open, outermost first
	asked      int         // record of the ask that waits for its samples and answer, or 0
	firstTake  int         // record of the first ask of the next step, or 0
	unanswered int         // asks of the next step so far
	phase      phase
}

// entry is what is kept in memory for each record beside its bytes.
type entry struct {
	end  int   // where the record's line ends in the file, its newline included
	void int32 // record of the void that set it aside, or 0
	code code
}

type stepEntry struct {
	firstTake, ask, answer int32 // records
	retakes                int32
}

// code tells apart the records that a void looks at.
type code uint8

const (
	codeOther code = iota
	codeStep       // ask, sample, answer
)

// phase says whether the run is in progress, paused or over.
type phase uint8

const (
	running phase = iota
	paused
	ended
)

func (p phase) String() string { return [...]string{"running", "paused", "ended"}[p] }

// event is what the grammar looks at in a record.
type event struct {
	kind              Kind
	step, from, block int
	name              string // open only
	unbroken, failed  bool
}

func (r *Record) event() event {
	return event{r.Kind, r.Step, r.From, r.Block, r.Name, r.Unbroken, r.Failure != nil}
}

func (p *parsed) event() event {
	e := event{kind: p.kind, step: p.int(fStep), from: p.int(fFrom), block: p.int(fBlock),
		unbroken: p.has&fUnbroken != 0, failed: p.has&fFailure != 0}
	if p.kind == KindOpen {
		e.name = p.text(fName)
	}
	return e
}

// check reports why e cannot be the next record.
func (v *view) check(e event) error {
	if err := v.checkPhase(e.kind); err != nil {
		return err
	}
	next := len(v.steps) + 1
	switch e.kind {
	case KindAsk:
		if e.step != next {
			return fmt.Errorf("ask of step %d, want step %d", e.step, next)
		}
	case KindSample, KindAnswer:
		if v.asked == 0 {
			return fmt.Errorf("%s to step %d, but no ask is open", e.kind, e.step)
		}
		if e.step != next {
			return fmt.Errorf("%s to step %d, but step %d was asked", e.kind, e.step, next)
		}
	case KindVoid:
		if e.from < 1 || e.from > next {
			return fmt.Errorf("void from step %d, want 1 to %d", e.from, next)
		}
	case KindOpen:
		if want := len(v.blocks) + 1; e.block != want {
			return fmt.Errorf("open of block %d, want block %d", e.block, want)
		}
	case KindClose:
		return v.checkClose(e.block)
	}
	return nil
}

// checkPhase reports whether a kind of record may come while the run is in progress, paused or over.
func (v *view) checkPhase(k Kind) error {
	switch {
	case v.phase == running, k == KindResume, k == KindVoid:
		return nil
	case v.phase == paused && (k == KindAside || k == KindEnd):
		return nil
	}
	return fmt.Errorf("%s while the run is %s, want a resume first", k, v.phase)
}

func (v *view) checkClose(block int) error {
	if len(v.open) == 0 {
		return fmt.Errorf("close of block %d, but no block is open", block)
	}
	if want := v.open[len(v.open)-1] + 1; block != want {
		return fmt.Errorf("close of block %d, but block %d is the innermost open one", block, want)
	}
	return nil
}

// apply takes in the next record, which check has passed. end is where its line ends in the file.
func (v *view) apply(e event, end int) {
	c := codeOther
	switch e.kind {
	case KindAsk, KindSample, KindAnswer:
		c = codeStep
	}
	v.entries = append(v.entries, entry{end: end, code: c})
	record := len(v.entries)
	switch e.kind {
	case KindAsk:
		v.ask(record)
	case KindAnswer:
		v.answer(record)
	case KindSample, KindAside, KindHead:
	default:
		v.asked = 0 // whatever was asked is not waited for any more
		v.applyOutside(e, record)
	}
}

func (v *view) ask(record int) {
	if v.firstTake == 0 {
		v.firstTake = record
	}
	v.asked = record
	v.unanswered++
}

func (v *view) answer(record int) {
	v.steps = append(v.steps, stepEntry{int32(v.firstTake), int32(v.asked), int32(record), int32(v.unanswered - 1)})
	v.asked, v.firstTake, v.unanswered = 0, 0, 0
}

// applyOutside takes in a record that is no part of a step.
func (v *view) applyOutside(e event, record int) {
	switch e.kind {
	case KindOpen:
		v.open = append(v.open, len(v.blocks))
		v.blocks = append(v.blocks, Block{
			Number: e.block, Name: e.name, Unbroken: e.unbroken, Next: len(v.steps) + 1, Record: record})
	case KindClose:
		b := &v.blocks[e.block-1]
		b.Closed, b.Failed, b.Last, b.End = true, e.failed, len(v.steps), record
		v.open = v.open[:len(v.open)-1]
	case KindVoid:
		v.void(e.from, record)
	case KindPause:
		v.phase = paused
	case KindResume:
		v.phase = running
	case KindEnd:
		v.phase = ended
	}
}

// void sets aside the steps from a number on, every take of them, and what blocks did since.
func (v *view) void(from, record int) {
	first := v.firstTake
	if from <= len(v.steps) {
		first = int(v.steps[from-1].firstTake)
	}
	for n := first; first > 0 && n < record; n++ {
		if v.entries[n-1].code == codeStep {
			v.mark(n, record)
		}
	}
	v.steps = v.steps[:from-1]
	v.firstTake, v.unanswered = 0, 0
	v.voidBlocks(from, record)
	if v.phase == ended {
		v.phase = paused
	}
}

// voidBlocks drops the blocks that were opened at or after step from, and opens again those that were
// closed after it. A block without steps that was over before step from is not touched.
func (v *view) voidBlocks(from, record int) {
	cut := slices.IndexFunc(v.blocks, func(b Block) bool {
		return b.Next >= from && !(b.Closed && b.Last < from)
	})
	if cut < 0 {
		cut = len(v.blocks)
	}
	for _, b := range v.blocks[cut:] {
		v.mark(b.Record, record)
		v.mark(b.End, record)
	}
	v.blocks, v.open = v.blocks[:cut], v.open[:0]
	for i := range v.blocks {
		b := &v.blocks[i]
		if b.Closed && b.Last >= from {
			v.mark(b.End, record)
			b.Closed, b.Failed, b.Last, b.End = false, false, 0, 0
		}
		if !b.Closed {
			v.open = append(v.open, i)
		}
	}
}

// mark says that a record was set aside by the void in record by, unless an earlier one did so.
func (v *view) mark(record, by int) {
	if record > 0 && v.entries[record-1].void == 0 {
		v.entries[record-1].void = int32(by)
	}
}
