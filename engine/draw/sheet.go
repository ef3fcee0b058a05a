package draw

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"sync"
)

// Sheet holds the readings of a run and the errors that are drawn for each. It is
// filled first, by one execution of the script; then several goroutines may draw at
// once. The zero Sheet is empty.
type Sheet struct {
	readings []entry
	place    map[place]int // in readings
	stimuli  map[string]string
	once     sync.Once
	drawn    []Reading
	unknown  int // readings whose scatter nobody knows
	far      int // readings whose scatter is concluded from other levels

	numbers  map[int]*Number // by step
	spectra  map[place]*Spectrum
	unknowns []Unknown
}

// place is a step's number and a single reading of it; 0 for the mean.
type place struct{ step, single int }

type entry struct {
	meter   string
	singles []XYZ
	own     spread // of the singles, or of the run of single readings that it is one of
	from    int    // the first reading of which own is
	taken   Taken
	reading Reading // but for its scatter
}

func (e *entry) light() light { return light{e.reading.Mean.Y, e.taken.Seconds} }

// Enter adds a reading of a meter, or one single reading of a series whose single
// readings count separately. The sheet adds the scatter of other readings of the same
// level. It must not be called after the first draw.
func (s *Sheet) Enter(step, single int, meter string, singles []XYZ, taken Taken, r Reading) {
	if s.place == nil {
		s.place, s.stimuli = map[place]int{}, map[string]string{}
	}
	if same, known := s.stimuli[taken.Stimulus]; known {
		taken.Stimulus = same // kept once
	}
	s.stimuli[taken.Stimulus] = taken.Stimulus
	s.place[place{step, single}] = len(s.readings)
	s.readings = append(s.readings, entry{meter, singles, spreadOf(singles), len(s.readings), taken, r})
}

// Draw returns the errors of a reading in one draw; false if the reading is not on
// the sheet.
func (s *Sheet) Draw(step, single, draw int) (moved Drawn, ok bool) {
	s.once.Do(s.finish)
	i, ok := s.place[place{step, single}]
	if !ok {
		return moved, false
	}
	return s.drawn[i].draw(draw), true
}

// EnterNumber adds the number that a step gave. It must not be called after the first draw.
func (s *Sheet) EnterNumber(step int, n Number) {
	if s.numbers == nil {
		s.numbers = map[int]*Number{}
	}
	s.numbers[step] = &n
}

// Number returns the number of a step as it is in one draw; false if it is not on the sheet.
func (s *Sheet) Number(step, draw int) (float64, bool) {
	n, ok := s.numbers[step]
	if !ok {
		return 0, false
	}
	return n.draw(draw), true
}

// EnterSpectrum adds the mean spectrum of a reading. It must not be called after the first draw.
func (s *Sheet) EnterSpectrum(step, single int, x Spectrum) {
	if s.spectra == nil {
		s.spectra = map[place]*Spectrum{}
	}
	s.spectra[place{step, single}] = &x
}

// Spectrum returns a mean spectrum as its shape is in one draw; false if it is not on the sheet.
func (s *Sheet) Spectrum(step, single, draw int) ([]float64, bool) {
	x, ok := s.spectra[place{step, single}]
	if !ok {
		return nil, false
	}
	return x.draw(draw), true
}

// Causes lists the shared causes of error that are not zero, each once.
func (s *Sheet) Causes() (all []Cause) {
	s.once.Do(s.finish)
	seen := map[Cause]bool{}
	add := func(causes []Cause) {
		for _, cause := range causes {
			if !seen[cause] {
				seen[cause] = true
				all = append(all, cause)
			}
		}
	}
	for i := range s.drawn {
		add(s.drawn[i].causes())
	}
	for _, step := range slices.Sorted(maps.Keys(s.numbers)) {
		add(s.numbers[step].causes())
	}
	for _, at := range slices.SortedFunc(maps.Keys(s.spectra), comparePlaces) {
		add(s.spectra[at].causes())
	}
	return all
}

func comparePlaces(a, b place) int {
	return cmp.Or(cmp.Compare(a.step, b.step), cmp.Compare(a.single, b.single))
}

// NoScatter counts the readings whose scatter is not known, so that no scatter is drawn
// for them.
func (s *Sheet) NoScatter() int {
	s.once.Do(s.finish)
	return s.unknown
}

// FarScatter counts the readings whose scatter is concluded from that of other levels, on the safe side.
func (s *Sheet) FarScatter() int {
	s.once.Do(s.finish)
	return s.far
}

// Unstated are the meters, by their places on the bench, that were read and of which nobody
// states how far off they may be. What is drawn of their readings is repeatability alone.
func (s *Sheet) Unstated() (meters []string) {
	for _, e := range s.readings {
		if e.taken.Unstated && !slices.Contains(meters, e.meter) {
			meters = append(meters, e.meter)
		}
	}
	slices.Sort(meters)
	return meters
}

// Still says whether nothing has an error that is known: a draw would change nothing.
func (s *Sheet) Still() bool {
	s.once.Do(s.finish)
	for _, n := range s.numbers {
		if !n.still() {
			return false
		}
	}
	for _, x := range s.spectra {
		if !x.still() {
			return false
		}
	}
	return !slices.ContainsFunc(s.drawn, func(r Reading) bool { return !r.still() })
}

// Resolution is what people call the part of a budget that the last digits of typed
// readings have.
const Resolution = "resolution"

// typedNumbers is what people call the part of a budget that numbers have which a person typed.
const typedNumbers = "typed numbers"

// Rest names the remaining part of a budget by [Explain]: the errors that each reading, each
// sample of a spectrum and each number has of its own.
func (s *Sheet) Rest() string {
	s.once.Do(s.finish)
	scatters, typed, numbers := len(s.drawn) > s.unknown, slices.ContainsFunc(s.drawn, func(r Reading) bool { return r.Typed != (Typed{}) }), false
	for _, n := range s.numbers {
		scatters, typed, numbers = scatters || n.Share > 0 && n.Scale > 0, typed || n.Place > 0, numbers || n.Own > 0 || n.Half > 0 || n.Share > 0 && n.Scale == 0
	}
	for _, x := range s.spectra {
		scatters = scatters || x.Accuracy.Noise > 0 || x.Accuracy.Dark > 0
	}
	var parts []string
	for _, part := range []struct {
		is   bool
		what string
	}{{scatters || !typed && !numbers, Scatter.String()}, {typed, Resolution}, {numbers, typedNumbers}} {
		if part.is {
			parts = append(parts, part.what)
		}
	}
	last := len(parts) - 1
	if last == 0 {
		return parts[0]
	}
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// finish determines the scatter of each reading. It also uses the scatter of other
// readings of the same meter, because the own scatter of few readings is poorly known.
func (s *Sheet) finish() {
	s.series()
	meters := map[string]*witnesses{}
	for i := range s.readings {
		e := &s.readings[i]
		if meters[e.meter] == nil {
			meters[e.meter] = &witnesses{stated: e.taken.Stated}
		}
		meters[e.meter].hear(e, i)
	}
	for _, w := range meters {
		w.agree()
	}
	s.drawn = make([]Reading, len(s.readings))
	for i := range s.readings {
		e, w := &s.readings[i], meters[s.readings[i].meter]
		s.drawn[i] = e.reading
		if e.reading.Zeroed {
			s.drawn[i].zero = w.zero()
		}
		known := w.of(e)
		if known.far {
			s.far++
		}
		if scatter, err := scatterOf(e.singles, e.taken, known); err == nil {
			s.drawn[i].scatter = scatter
		} else {
			s.unknown++
		}
	}
	for i := range s.readings {
		for _, u := range s.unknownsOf(i) {
			s.EnterUnknown(u)
		}
	}
}
