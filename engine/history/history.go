package history

import (
	"encoding/json"
	"maps"
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// The names of contacts outside the numbering of steps.
const (
	Restore = "restore"
	SafeEnd = "safe-end"
	Devices = "devices" // other instruments, from here on
	Scripts = "scripts" // an edited script, from here on
	Bench   = "bench"   // a corrected bench file or driver, from here on
	Caution = "caution" // cautions that were shown, and accepted, only during the run
	Tries   = "tries"   // that a step other than a reading needed more than one try, while it was asked
	Typed   = "typed"   // a reading that a person typed before it was asked for
)

// History is what a journal means, beside its steps and blocks: how the run
// stands and why, what happened outside the steps, what was set aside. It is one
// fold over the records, and goes on as records are appended.
type History struct {
	Head    Head
	Journal *journal.Journal

	// Pauses are the times for which the run stood still, as they are shown to people;
	// Resumes are all records of going on.
	Pauses  []Pause
	Resumes []Resume
	Voids   []Void
	Edits   []Edit
	Swaps   []Swap
	Mends   []Mend

	next     int                      // the step that comes next
	asked    []string                 // the device of each step in effect
	asking   string                   // that of the step that waits for its answer
	outside  map[int][]journal.Record // what happened outside the numbering, by the step that came next
	stretch  map[string]*stretch      // unbroken ones, by name
	idle     float64                  // for how long the run stood still since it was last at work
	inside   int                      // the interlude that is open
	ahead    []string                 // readings that were typed before they were asked for, and not used yet
	tries    map[int]int              // how often a step was tried that is no reading, where it was more than once
	struck   []int                    // see Struck
	scripts  Effect
	texts    map[string]string // the files that the run is made with now
	devices  map[string]bench.Identity
	standing standing
	worked   time.Time // zero where nothing says so
}

// Read folds a journal. It fails where the head cannot be decoded, and with a
// [NewerRulesError].
func Read(j *journal.Journal) (*History, error) {
	h := &History{Journal: j, next: 1, outside: map[int][]journal.Record{}, tries: map[int]int{}, stretch: map[string]*stretch{}}
	if err := j.Head(&h.Head); err != nil {
		return nil, err
	}
	if h.Head.Rules > Rules {
		return nil, &NewerRulesError{h.Head.Rules}
	}
	h.scripts = Effect{File: h.Head.File, Scripts: h.Head.Scripts}
	h.devices = bench.Identities(h.Head.Devices)
	h.texts = maps.Clone(h.Head.Texts)
	for n, r := range j.All() {
		h.take(n, r)
	}
	return h, nil
}

// Begin starts a history in memory, for a rehearsal or a trial that leaves nothing
// behind.
func Begin(h Head) (*History, error) {
	j, err := journal.Memory(h)
	if err != nil {
		return nil, err
	}
	return Read(j)
}

// Append writes a record and takes it in. Its errors are [journal.Journal.Append]'s.
func (h *History) Append(r journal.Record) error {
	if err := h.Journal.Append(r); err != nil {
		return err
	}
	h.take(h.Journal.Records(), r)
	return nil
}

// take folds one record.
func (h *History) take(n int, r journal.Record) {
	switch r.Kind {
	case journal.KindAsk:
		h.ask(r)
	case journal.KindSample:
		h.sample(r)
	case journal.KindAnswer:
		h.answer(r)
	case journal.KindOpen:
		h.open(n, r)
	case journal.KindClose:
		if r.Block == h.inside {
			h.inside = 0
		}
	case journal.KindVoid:
		h.void(n, r)
	case journal.KindResume:
		h.resume(n, r)
	case journal.KindAside:
		h.aside(r)
	}
	for _, s := range StruckBy(r) {
		if !slices.Contains(h.struck, s) {
			h.struck = append(h.struck, s)
		}
	}
	h.standing.take(r)
	h.work(r)
}

func (h *History) ask(r journal.Record) {
	for _, s := range h.stretch {
		s.asked = true
	}
	h.asking = r.Device
	delete(h.tries, r.Step)
}

func (h *History) answer(r journal.Record) {
	h.next = r.Step + 1
	h.asked = append(h.asked, h.asking)
	if h.inside == 0 {
		h.idle = 0
	}
}

func (h *History) open(n int, r journal.Record) {
	if h.inside == 0 && interludeOf(r) != nil {
		h.inside = r.Block
	}
	if r.Unbroken && interludeOf(r) == nil {
		h.stretch[r.Name] = &stretch{record: n}
	}
}

func (h *History) resume(n int, r journal.Record) {
	h.ahead = nil // nobody knows whether the unit still shows what they are readings of
	h.idle += r.PauseSeconds
	h.outside[h.next] = append(h.outside[h.next], r)
	h.Resumes = append(h.Resumes, Resume{Step: h.next, At: r.T, Seconds: r.PauseSeconds, Reason: r.Reason, record: n})
	if p, told := h.standing.pause(h.next-1, r); told {
		h.Pauses = append(h.Pauses, p)
	}
}

// void takes in that steps were set aside. What happened between them goes, too, for the
// world is rebuilt from what is kept; but other instruments are no part of the steps.
func (h *History) void(n int, r journal.Record) {
	h.Voids = append(h.Voids, Void{From: r.From, Steps: h.next - r.From, At: r.T, Reason: r.Reason})
	var kept []journal.Record
	for step := r.From + 1; step <= h.next; step++ {
		for _, r := range h.outside[step] {
			if r.Name == Devices {
				kept = append(kept, r)
			}
		}
		delete(h.outside, step)
	}
	h.next, h.inside, h.ahead = r.From, 0, nil
	if len(StruckBy(r)) > 0 {
		kept = append(kept, r)
	}
	h.outside[h.next] = append(h.outside[h.next], kept...)
	h.asked = h.asked[:h.next-1]
	maps.DeleteFunc(h.tries, func(step, _ int) bool { return step >= h.next })
	for _, s := range h.stretch {
		s.void(h.Journal.VoidedBy(s.record) == n)
	}
}

func (h *History) aside(r journal.Record) {
	h.outside[h.next] = append(h.outside[h.next], r)
	switch r.Name {
	case Scripts:
		h.edit(r)
	case Devices:
		h.swap(r)
	case Bench:
		h.mend(r)
	case Tries:
		h.tried(r)
	case Typed:
		var kept TypedLine
		if json.Unmarshal(r.Args, &kept) == nil {
			h.ahead = append(h.ahead, kept.Line)
		}
	}
}

// TypedLine is what an aside [Typed] keeps.
type TypedLine struct {
	Line string `json:"line"`
}

// sample takes in that a reading was used. Those that were typed before it and are no readings of this meter were told of.
func (h *History) sample(r journal.Record) {
	if len(h.ahead) == 0 {
		return
	}
	var s struct {
		Typed string `json:"typed"`
	}
	if json.Unmarshal(r.Data, &s) != nil {
		return
	}
	if i := slices.Index(h.ahead, s.Typed); i >= 0 {
		h.ahead = h.ahead[i+1:]
	}
}

// TypedAhead are the readings that a person typed before they were asked for, and that no step has used. They go with a
// pause, and with the steps that they were typed for.
func (h *History) TypedAhead() []string { return h.ahead }

// edit takes in an edited script. One that cannot be read, such as a newer version's,
// is mentioned without details.
func (h *History) edit(r journal.Record) {
	var now Effect
	readable := json.Unmarshal(r.Args, &now) == nil
	e := Edit{After: h.next - 1, File: now.File, Scripts: append([]ScriptSum{}, now.Scripts...), Changed: []string{}}
	for _, s := range e.Scripts {
		if !slices.Contains(h.scripts.Scripts, s) {
			e.Changed = append(e.Changed, s.Name)
		}
	}
	h.Edits = append(h.Edits, e)
	if readable && now.File != "" {
		h.scripts = now
	}
}

// swap takes in other instruments.
func (h *History) swap(r journal.Record) {
	now, _ := swapped(r)
	h.Swaps = append(h.Swaps, Swap{After: h.next - 1, Devices: append([]bench.Named{}, now...)})
	for _, d := range now {
		h.devices[d.Name] = d.Identity
	}
}

// mend takes in a corrected bench file and its drivers. One that cannot be read is mentioned without details.
func (h *History) mend(r journal.Record) {
	var now Mended
	_ = json.Unmarshal(r.Args, &now)
	m := Mend{After: h.next - 1, Changed: []ScriptSum{}}
	for _, name := range slices.Sorted(maps.Keys(now.Texts)) {
		m.Changed = append(m.Changed, ScriptSum{Name: name, SHA256: Sum([]byte(now.Texts[name]))})
	}
	h.Mends, h.texts = append(h.Mends, m), now.Apply(h.texts)
}

// Texts are the files that the run is made with now: those of its head, and those that took their places since, by the names
// under which the head keeps them. The map must not be changed.
func (h *History) Texts() map[string]string { return h.texts }

// swapped are the instruments that a record says are others from there on.
func swapped(r journal.Record) (now []bench.Named, err error) {
	err = json.Unmarshal(r.Args, &now)
	return now, err
}

// Outside is what happened before a step in effect, outside the numbering.
func (h *History) Outside(step int) []journal.Record { return h.outside[step] }

// SwapsBefore are the instruments that were others from a step on.
func (h *History) SwapsBefore(step int) ([]bench.Named, error) {
	var all []bench.Named
	for _, r := range h.outside[step] {
		if r.Kind != journal.KindAside || r.Name != Devices {
			continue
		}
		now, err := swapped(r)
		if err != nil {
			return nil, err
		}
		all = append(all, now...)
	}
	return all, nil
}

// Scripts are those that the journal was written with last.
func (h *History) Scripts() Effect { return h.scripts }

// Instruments are the ones of the run's start, and those that took their places
// since, by place. The map must not be changed.
func (h *History) Instruments() map[string]bench.Identity { return h.devices }

// Idle is for how many seconds the run stood still since it was last at work, other than in
// an interlude: an on_resume that was itself interrupted has not undone what
// the pause before it did.
func (h *History) Idle() float64 { return h.idle }

// StoodBefore is for how many seconds the run had stood still in all before each
// step in effect.
func (h *History) StoodBefore(steps []journal.Step) []float64 {
	stood := make([]float64, len(steps))
	all, next := 0.0, 0
	for i, s := range steps {
		for ; next < len(h.Resumes) && h.Resumes[next].record < s.Record; next++ {
			all += h.Resumes[next].Seconds
		}
		stood[i] = all
	}
	return stood
}

// Asked says whether a step in effect asked a device.
func (h *History) Asked(device bench.Kind) bool { return slices.Contains(h.asked, string(device)) }

// MadeSafe says whether a device was made safe after the last step in effect.
func (h *History) MadeSafe(device bench.Kind) bool {
	return slices.ContainsFunc(h.outside[h.Journal.Steps()+1], func(r journal.Record) bool {
		return r.Name == SafeEnd && r.Device == string(device) && r.Failure == nil
	})
}

// LastWritten is when the run was last at work: what its end says or, after a
// crash, when the journal's file was last written.
func (h *History) LastWritten(file time.Time) time.Time {
	if !h.worked.IsZero() {
		return h.worked
	}
	return file
}

// work keeps when the run was last at work, as an end says it, or a void that came
// when the run was taken up and got no further.
func (h *History) work(r journal.Record) {
	var at Stamp
	switch r.Kind {
	case journal.KindEnd, journal.KindVoid:
		if json.Unmarshal(r.Data, &at) == nil && !at.Wall.IsZero() {
			h.worked = at.Wall
		}
	case journal.KindAside:
	default:
		h.worked = time.Time{}
	}
}
