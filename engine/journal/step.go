package journal

import (
	"encoding/json"
	"fmt"
	"iter"
)

// Step is an answered step in effect.
type Step struct {
	Number  int
	Name    string
	Device  string
	Args    json.RawMessage
	Samples []json.RawMessage // of the ask that was answered
	Answer  json.RawMessage   // nil where there is only a failure
	Failure *Failure          // nil where the step did not fail
	At      string            // the script's line that asked
	Asked   float64           // script time of the ask in seconds
	T       float64           // script time of the answer in seconds
	ByHand  bool              // a person gave the answer
	Record  int               // the ask's record
	Retakes int               // asks of this step before that were never answered
}

// Block is a block in effect.
type Block struct {
	Number   int
	Name     string
	Unbroken bool
	Next     int  // the first step inside, or the next one of all if it has none yet
	Closed   bool // it ended and the end was not set aside
	Failed   bool // it was closed with a failure
	Last     int  // of a closed block: the last step inside, Next-1 if it has none
	Record   int  // of its open
	End      int  // record of its close; 0 while it is open
}

// Steps returns the number of answered steps in effect. They are numbered 1 to that.
func (j *Journal) Steps() int { return len(j.view.steps) }

// Step returns the answered step n in effect; n is 1 to [Journal.Steps].
func (j *Journal) Step(n int) (Step, error) {
	if n < 1 || n > len(j.view.steps) {
		return Step{}, fmt.Errorf("%s: step %d is not recorded, want 1 to %d", j.path, n, len(j.view.steps))
	}
	s := j.view.steps[n-1]
	step := Step{Number: n, Record: int(s.ask), Retakes: int(s.retakes)}
	var p parsed
	j.parsed(int(s.ask), &p)
	step.Name, step.Device, step.At = p.text(fName), p.text(fDevice), p.text(fAt)
	step.Args, step.Asked = p.value(fArgs), p.number(fT)
	if between := int(s.answer - s.ask - 1); between > 0 {
		step.Samples = make([]json.RawMessage, 0, between)
	}
	for record := int(s.ask) + 1; record < int(s.answer); record++ {
		if j.parsed(record, &p); p.kind == KindSample { // or an aside
			step.Samples = append(step.Samples, p.value(fData))
		}
	}
	j.parsed(int(s.answer), &p)
	step.Answer, step.Failure = p.value(fData), p.failure()
	step.T, step.ByHand = p.number(fT), p.has&fByHand != 0
	return step, nil
}

// Unanswered returns how often the step after the last answered one was asked without an answer. If it is
// not 0, asking that step again is a retake.
func (j *Journal) Unanswered() int { return j.view.unanswered }

// Blocks returns the blocks in effect in the order in which they were opened, which is their numbers'.
func (j *Journal) Blocks() []Block {
	return append([]Block{}, j.view.blocks...)
}

// Block returns the block n in effect; false where there is none of that number.
func (j *Journal) Block(n int) (Block, bool) {
	if n < 1 || n > len(j.view.blocks) {
		return Block{}, false
	}
	return j.view.blocks[n-1], true
}

// Moving says whether the run is in progress, neither paused nor over, so that
// every kind of record may follow.
func (j *Journal) Moving() bool { return j.view.phase == running }

// Record returns record n; n is 1 to [Journal.Records].
func (j *Journal) Record(n int) Record { return j.record(n) }

// Records returns the number of records, with the head and those set aside.
func (j *Journal) Records() int { return len(j.view.entries) }

// VoidedBy returns the record of the void that set a record aside, or 0 if the record is in effect. Only
// asks, samples, answers, opens and closes can be set aside. It is 0 too for a record that is not there.
func (j *Journal) VoidedBy(record int) int {
	if record < 1 || record > len(j.view.entries) {
		return 0
	}
	return int(j.view.entries[record-1].void)
}

// All yields every record, the head and those set aside too, with its number. The head's object is in its
// Data.
func (j *Journal) All() iter.Seq2[int, Record] {
	return func(yield func(int, Record) bool) {
		for n := 1; n <= len(j.view.entries); n++ {
			if !yield(n, j.record(n)) {
				return
			}
		}
	}
}

// Outside yields the records that are no part of a step, as [Journal.All] does.
func (j *Journal) Outside() iter.Seq2[int, Record] {
	return func(yield func(int, Record) bool) {
		for n, e := range j.view.entries {
			if e.code != codeStep && !yield(n+1, j.record(n+1)) {
				return
			}
		}
	}
}

// Ended returns the end record if the run is over, which is to say, if no void or resume came after it.
func (j *Journal) Ended() (Record, bool) {
	if j.view.phase != ended {
		return Record{}, false
	}
	return j.record(len(j.view.entries)), true
}

// record decodes a record.
func (j *Journal) record(n int) Record {
	if n == 1 {
		return Record{Kind: KindHead, Data: j.head}
	}
	var p parsed
	j.parsed(n, &p)
	return p.record()
}
