package history

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// Tried says how many requests to an instrument needed more than one try, of those in effect: its readings, each by itself, or
// its steps of one name.
type Tried struct {
	Device string `json:"device"`         // the place on the bench
	Called string `json:"called"`         // the instrument, the last one in that place
	Step   string `json:"step,omitempty"` // the name of the steps; empty for readings
	Of     int    `json:"of"`             // how many there were
	Again  int    `json:"again"`          // how many of them needed more than one try
	Most   int    `json:"most"`           // the most tries of one
}

// TriesOf is what an aside [Tries] keeps of the step that is under way.
type TriesOf struct {
	Tries int `json:"tries"`
}

// tried takes in that the step which is under way needed more than one try.
func (h *History) tried(r journal.Record) {
	var kept TriesOf
	if json.Unmarshal(r.Args, &kept) == nil && kept.Tries > 1 {
		h.tries[h.next] = kept.Tries
	}
}

// Tried gives the instruments that were asked again for something in effect, by place, readings first.
func (h *History) Tried() (all []Tried, err error) {
	type of struct{ device, step string }
	sums := map[of]*Tried{}
	count := func(key of, tries int) {
		t := sums[key]
		if t == nil {
			t = &Tried{Device: key.device, Step: key.step}
			sums[key] = t
		}
		if t.Of++; tries > 1 {
			t.Again, t.Most = t.Again+1, max(t.Most, tries)
		}
	}
	for n := 1; n <= h.Journal.Steps(); n++ {
		s, err := h.Journal.Step(n)
		if err != nil {
			return nil, err
		}
		for _, raw := range s.Samples {
			count(of{s.Device, ""}, triesIn(raw))
		}
		if len(s.Samples) == 0 && s.Device != "" {
			count(of{s.Device, s.Name}, h.tries[n])
		}
	}
	for _, t := range sums {
		if t.Again > 0 {
			t.Called = h.called(t.Device)
			all = append(all, *t)
		}
	}
	places := []string{string(bench.KindMeter), string(bench.KindReference), string(bench.KindPatches)}
	slices.SortFunc(all, func(a, b Tried) int {
		return cmp.Or(cmp.Compare(rank(places, a.Device), rank(places, b.Device)), cmp.Compare(a.Device, b.Device), cmp.Compare(a.Step, b.Step))
	})
	return all, nil
}

func rank(order []string, x string) int {
	if i := slices.Index(order, x); i >= 0 {
		return i
	}
	return len(order)
}

func (h *History) called(device string) string {
	if id, there := h.devices[device]; there {
		return id.Called()
	}
	return ""
}

// triesIn is how often a single reading was tried. Most need one try, and are not decoded.
func triesIn(sample json.RawMessage) int {
	var s TriesOf
	if !bytes.Contains(sample, []byte(`"tries"`)) || json.Unmarshal(sample, &s) != nil {
		return 1
	}
	return s.Tries
}
