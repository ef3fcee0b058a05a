package player

import (
	"context"
	"fmt"
	"math"
	"path/filepath"

	"candelua/engine/bench"
)

// timedFile is the video of a whole procedure.
const timedFile = "procedure.mp4"

// Schedule is what a video of a whole procedure shows, and when, in seconds from its start.
type Schedule struct {
	File    string `json:"file"`
	Unit    int    `json:"unit"` // s, of the start pattern: its shortest field is two of them
	Holds   []Hold `json:"holds"`
	Seconds int    `json:"seconds"` // in all
	Bytes   int64  `json:"bytes"`
	SHA256  string `json:"sha256"`
}

// check refuses a schedule that is none.
func (s *Schedule) check(files int) error {
	if s == nil {
		return nil
	}
	at := 0
	for i, h := range s.Holds {
		if h.Number < 1 || h.Number > files || h.From < at || h.To <= h.From {
			return fmt.Errorf("patch %d of the video is %+v, which cannot be", i+1, h)
		}
		at = h.To
	}
	if s.Unit < 1 || s.Unit > 60 || len(s.Holds) == 0 || s.File != timedFile {
		return fmt.Errorf("the video of the whole procedure is not described")
	}
	return nil
}

// Hold is a patch of the schedule.
type Hold struct {
	Number int `json:"number"` // of the file with the same picture
	From   int `json:"from"`   // s
	To     int `json:"to"`
}

// TimedOptions say how the video of a procedure is timed.
type TimedOptions struct {
	Hold  int // s, for which each patch stays; 0: by the rehearsal
	Field int // s, the shortest field of the start pattern, 2 or more
}

// How long a patch stays where nobody says: longer than in the rehearsal by half, since a real meter may be slower, and
// by a few seconds, in which the change of patches is looked at (model of our own).
const (
	holdLonger  = 1.5
	holdMore    = 4  // s
	holdLeast   = 6  // s
	holdConfirm = 60 // s more for the first patch of HDR, while a person looks whether the unit shows HDR
	holdLast    = 60 // s more for the last patch
	mostSeconds = 12 * 3600
)

// schedule lays a procedure out in time. It fails with a [bench.Error] of code "unsupported" where a video cannot play it.
func (p *Plan) schedule(o TimedOptions) (*Schedule, error) {
	if len(p.order) == 0 {
		return nil, bench.Errorf(bench.CodeUnsupported, "", "the procedure shows no patch")
	}
	s := &Schedule{File: timedFile, Unit: (o.Field + 1) / 2}
	at := cueUnits * s.Unit
	first := p.asked[0].Patch
	for i, number := range p.order {
		a := p.asked[i]
		switch {
		case a.Timed:
			return nil, bench.Errorf(bench.CodeUnsupported, "use a source that keeps exact times", "the procedure shows sequences of exact times, which a video of the whole procedure does not")
		case a.Patch.Signal != first.Signal || a.Patch.Metadata != first.Metadata:
			return nil, bench.Errorf(bench.CodeUnsupported, "leave out --timed, and show the files one by one", "the procedure shows patches of different signals or metadata, and a video has one of each: %s, then %s", first.Signal, a.Patch.Signal)
		}
		hold := o.Hold
		if hold == 0 {
			hold = max(int(math.Ceil(holdLonger*a.Stays))+holdMore, holdLeast)
		}
		if i == 0 && first.Signal != bench.SDR {
			hold += holdConfirm
		}
		if i == len(p.order)-1 {
			hold += holdLast
		}
		s.Holds = append(s.Holds, Hold{Number: number + 1, From: at, To: at + hold})
		at += hold
	}
	if s.Seconds = at; at > mostSeconds {
		return nil, bench.Errorf(bench.CodeUnsupported, "run it in parts, or with fewer patches", "the video would play for %s; it may for %s", minutes(float64(at)), minutes(mostSeconds))
	}
	return s, nil
}

// field is a field of the start pattern, as a patch.
func field(like bench.Patch, bright bool) bench.Patch {
	grey := fieldGreys(like.Signal)[fieldDark]
	if bright {
		grey = fieldGreys(like.Signal)[fieldBright]
	}
	return bench.Patch{RGB: [3]float64{grey, grey, grey}, Window: 100, At: [2]float64{0.5, 0.5}, Signal: like.Signal, Metadata: like.Metadata}
}

// timed writes the video of the procedure: each picture is coded and checked once, and its second stands as often as the
// patch stays.
func (m Making) timed(ctx context.Context, part string, in *Index) (err error) {
	s, err := m.Plan.schedule(*m.Timed)
	if err != nil {
		return err
	}
	m.tell(len(in.Patches), len(in.Patches), s.File)
	var parts []piece
	for i, units := range cueFields {
		p := field(m.Plan.asked[0].Patch, i%2 == 1)
		pic, err := in.Layout.picture(p)
		if err != nil {
			return err
		}
		e := in.Layout.entry(p, pic, in.Layout.keyOf(p, pic), "")
		c, err := m.clipOf(ctx, part, in.Layout, &e)
		if err != nil {
			return fmt.Errorf("the start pattern: %w", err)
		}
		parts = append(parts, piece{c, units * s.Unit})
	}
	for _, h := range s.Holds {
		c, err := m.clipOf(ctx, part, in.Layout, &in.Patches[h.Number-1])
		if err != nil {
			return err
		}
		parts = append(parts, piece{c, h.To - h.From})
	}
	path := filepath.Join(part, s.File)
	if err := joined(ctx, path, parts); err != nil {
		return err
	}
	in.Timed = s
	s.Bytes, s.SHA256, err = summed(path)
	return err
}
