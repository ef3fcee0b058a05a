package progress

import (
	"candelua/engine/bench"
	"candelua/engine/operator"
	"candelua/engine/plain"
	"candelua/engine/script"
)

// Mean is what the readings of one step came to.
type Mean struct {
	Step    int
	Meter   string
	Seconds float64 // script time of the last of them
	Y       float64 // mean luminance, cd/m²
	Count   int
	patch   *bench.Patch
}

// Patch says in words what the unit showed; empty where that is not known.
func (m *Mean) Patch() string {
	if m.patch == nil {
		return ""
	}
	return plain.Line(operator.Describe(*m.patch))
}

// mostMeans is how many of them are kept, of the whole run; where there are more, every other one is dropped but for the last.
const mostMeans = 2000

// means are the readings of a run so far, by step.
type means []Mean

func (all *means) take(r *script.ReadingRow) {
	if last := len(*all) - 1; last >= 0 && (*all)[last].Step == r.Reading && (*all)[last].Meter == r.Meter {
		m := &(*all)[last]
		m.Count++
		m.Y += (r.Y - m.Y) / float64(m.Count)
		m.Seconds = r.Ended
		return
	}
	if len(*all) >= mostMeans {
		kept := (*all)[:0]
		for i, m := range *all {
			if i%2 == 1 {
				kept = append(kept, m)
			}
		}
		*all = kept
	}
	*all = append(*all, Mean{Step: r.Reading, Meter: r.Meter, Seconds: r.Ended, Y: r.Y, Count: 1, patch: r.Patch})
}
