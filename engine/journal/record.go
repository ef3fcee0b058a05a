package journal

import "encoding/json"

// Kind says what a record is.
type Kind string

// The kinds of record. A step is an Ask, any number of Samples and an Answer. Everything else stands
// outside the numbering of steps.
const (
	KindHead   Kind = "head"   // the first record: what the run is
	KindAsk    Kind = "ask"    // a contact with the world is about to be made
	KindSample Kind = "sample" // a single reading that belongs to the open ask
	KindAnswer Kind = "answer" // what the world answered to the open ask
	KindVoid   Kind = "void"   // steps from a number on are set aside
	KindOpen   Kind = "open"   // a block, a part or an unbroken block, begins
	KindClose  Kind = "close"  // the innermost open block ends
	KindPause  Kind = "pause"  // the run stands still
	KindResume Kind = "resume" // the run goes on
	KindAside  Kind = "aside"  // a contact outside the numbering: a restore, a safe end, a caution
	KindEnd    Kind = "end"    // the run is over, or over for now
)

// The statuses that an End record may carry.
const (
	Done   = "done"
	Failed = "failed"
	Paused = "paused"
)

// Failure is how a contact or a block failed.
type Failure struct {
	Code    string // for machines
	Message string // for people
	Hint    string // what to do next; may be empty
}

// Record is one line of a journal. Which fields a kind carries is listed in [Record.Kind]'s constants'
// table in the package comment; a record with a field that is not its kind's is refused.
type Record struct {
	Kind Kind
	Step int    // ask, sample, answer: the step's number, from 1
	Name string // ask: the step's function; open: the block's name; aside: what was done

	Device   string          // ask, aside: "meter", "reference", "patches"; may be empty
	Block    int             // open, close: the block's number, from 1
	Unbroken bool            // open: the block must not be interrupted
	From     int             // void: the first step set aside
	Args     json.RawMessage // ask, aside, open: what was asked
	Data     json.RawMessage // every kind but ask: what was answered, or the engine's own notes
	Failure  *Failure        // answer, close, aside, end: how it failed
	At       string          // the script's line, "window-sweep.lua:31"; every kind but sample
	T        float64         // script time in seconds; every kind but head and sample
	ByHand   bool            // sample, answer, aside: a person gave it
	Reason   string          // void, pause (required); resume, end, close
	Status   string          // end: Done, Failed or Paused

	PauseSeconds float64 // resume: how long the pause was, in seconds
}
