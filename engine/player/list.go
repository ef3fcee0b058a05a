package player

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// Asked is a patch that a procedure asks for.
type Asked struct {
	Patch bench.Patch
	Stays float64 // until the next one, s; 0 where that is not known
	// Resumed says that it is asked for only where a run goes on after a pause.
	Resumed bool
	Timed   bool // it belongs to a sequence, whose times are exact
}

// Entry is a file and the picture that it holds.
type Entry struct {
	Number  int         `json:"number"`
	File    string      `json:"file"`
	Key     string      `json:"key"`   // tells the picture from any other
	Shows   string      `json:"shows"` // in words
	Patch   bench.Patch `json:"patch"` // that was first asked for
	Bits    int         `json:"bits"`
	Code    [3]int      `json:"code"`            // red, green and blue of the patch's own colour
	YCbCr   *[3]int     `json:"ycbcr,omitempty"` // of a 4:2:0 video: the codes of 10 bits, limited range
	Shown   *[3]float64 `json:"shown,omitempty"` // the signal that these stand for; nil: the one that was asked for
	Area    float64     `json:"area"`            // % of the screen, in whole pixels
	At      [2]float64  `json:"at"`              // true middle of the window
	Moved   bool        `json:"moved,omitempty"` // it was moved to keep clear of a zone
	Covers  []string    `json:"covers,omitempty"`
	Times   int         `json:"times"`  // that it is asked for in one run
	Stays   float64     `json:"stays"`  // longest time that it stays in the rehearsal, s
	Bytes   int64       `json:"bytes"`  // of the file
	SHA256  string      `json:"sha256"` // of the file
	picture paint.Picture
}

// Plan is what a folder will hold.
type Plan struct {
	Layout  Layout
	Entries []Entry
	order   []int // which entry each patch is that was asked for, in one run
	asked   []Asked
}

// NewPlan lists the files of patches, each picture once. describe says in words what a patch is. It fails with
// a [bench.Error] of code "unsupported" for a patch that the layout has no picture of.
func NewPlan(l Layout, asked []Asked, describe func(bench.Patch) string) (*Plan, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	p := &Plan{Layout: l}
	known := map[string]int{}
	for i, a := range asked {
		pic, err := l.picture(a.Patch)
		if err == nil {
			_, err = l.meaning(a.Patch)
		}
		if err != nil {
			return nil, bench.Errorf(bench.CodeUnsupported, hintOf(err), "patch %d, %s: %w", i+1, describe(a.Patch), err)
		}
		key := l.keyOf(a.Patch, pic)
		at, there := known[key]
		if !there {
			at = len(p.Entries)
			known[key] = at
			p.Entries = append(p.Entries, l.entry(a.Patch, pic, key, describe(a.Patch)))
		}
		if e := &p.Entries[at]; !a.Resumed {
			e.Times++
			e.Stays = max(e.Stays, a.Stays)
			p.order, p.asked = append(p.order, at), append(p.asked, a)
		}
	}
	digits := len(fmt.Sprint(max(len(p.Entries), 100)))
	for i := range p.Entries {
		e := &p.Entries[i]
		e.Number = i + 1
		e.File = name(e.Number, digits, e.Patch, e.picture, l.Form)
	}
	return p, nil
}

func (l Layout) entry(p bench.Patch, pic paint.Picture, key, shows string) Entry {
	e := Entry{Key: key, Shows: shows, Patch: p, Bits: pic.Bits, Code: code(pic), Area: pic.Area, At: pic.At, Moved: pic.Moved, Covers: pic.Covers, picture: pic}
	if l.Form == Video {
		c := matrixOf(p.Signal)
		ycc := c.codes(pic.RGB)
		shown := c.signal(ycc)
		e.YCbCr, e.Shown = &ycc, &shown
	}
	return e
}
