// Package journal keeps the append-only record of a run.
package journal

import (
	"encoding/json"
	"errors"
	"iter"
)

// Format is the version of the file format that this package writes and reads.
const Format = 1

// Options says how a journal is written.
type Options struct {
	Sync bool // answers, voids, pauses and ends are on the disk before Append returns
}

// Journal is a run's record. It may be read by several goroutines at once, but not while one appends.
type Journal struct{ torn int }

// Step is one answered step of the effective view.
type Step struct {
	Number  int
	Name    string
	Device  string
	Args    json.RawMessage
	Samples []json.RawMessage
	Answer  json.RawMessage
	Failure *Failure
	At      string
	Asked   float64 // script time of the ask, s
	T       float64 // script time of the answer, s
	ByHand  bool
	Record  int // number of the ask's record
	Retakes int // asks of this step before that were never answered
}

// Block is one block of the effective view.
type Block struct {
	Number   int
	Name     string
	Unbroken bool
	Next     int // number of the first step inside
	Closed   bool
	Failed   bool
	Last     int // once closed: number of the last step inside, Next-1 if there is none
}

var errTodo = errors.New("journal: not built yet")

// Create starts a journal; the file must not exist.
func Create(path string, head any, o Options) (*Journal, error) { return nil, errTodo }

// Memory starts a journal that has no file.
func Memory(head any) (*Journal, error) { return nil, errTodo }

// Open verifies a journal and makes it ready to append.
func Open(path string, o Options) (*Journal, error) { return nil, errTodo }

// Load verifies a journal for reading only.
func Load(path string) (*Journal, error) { return nil, errTodo }

// Head decodes the engine's object in the head record.
func (j *Journal) Head(into any) error { return errTodo }

// Append writes a record and updates the effective view.
func (j *Journal) Append(r Record) error { return errTodo }

// Steps returns the number of answered steps in effect.
func (j *Journal) Steps() int { return 0 }

// Step returns the answered step n in effect.
func (j *Journal) Step(n int) (Step, error) { return Step{}, errTodo }

// Unanswered returns how often the step after the last answered one was asked in vain.
func (j *Journal) Unanswered() int { return 0 }

// Blocks returns the blocks in effect.
func (j *Journal) Blocks() []Block { return nil }

// Records returns the number of records, the head and voided ones included.
func (j *Journal) Records() int { return 0 }

// VoidedBy returns the number of the void record that set a record aside, or 0.
func (j *Journal) VoidedBy(record int) int { return 0 }

// All yields every record with its number.
func (j *Journal) All() iter.Seq2[int, Record] { return func(func(int, Record) bool) {} }

// Ended returns the end record if it is the last record.
func (j *Journal) Ended() (Record, bool) { return Record{}, false }

// Torn returns the bytes of a torn last line that were dropped.
func (j *Journal) Torn() int { return j.torn }

// Close closes the file.
func (j *Journal) Close() error { return nil }
