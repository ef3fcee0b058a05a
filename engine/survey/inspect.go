package survey

import (
	"context"
	"encoding/json"
	"errors"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/engine/store"
)

// Inspection is what is known of one run. Of a damaged run it holds what comes
// before the damage, and of a run that is being written what there is so far.
// Times are script time in seconds; only pauses are in real time.
type Inspection struct {
	Summary
	Title     string              `json:"title,omitempty"` // of the stored script
	File      string              `json:"file"`
	Scripts   []history.ScriptSum `json:"scripts"` // that the run began with
	Params    script.Params       `json:"params"`
	Seed      uint64              `json:"seed"`
	Engine    string              `json:"engine"` // version of candelua
	Devices   []bench.Named       `json:"devices"`
	Caution   string              `json:"caution,omitempty"`
	Seconds   float64             `json:"seconds"`
	Retakes   int                 `json:"retakes"`         // requests that got no answer and were repeated
	Tried     []history.Tried     `json:"tried,omitempty"` // instruments that were asked again within a step
	Calls     []Calls             `json:"calls"`
	Asked     []Asked             `json:"asked,omitempty"` // every step, if asked for
	Parts     []history.Part      `json:"parts"`
	Pauses    []history.Pause     `json:"pauses"`
	Voids     []history.Void      `json:"voids"`
	Edits     []history.Edit      `json:"edits"`
	Swaps     []history.Swap      `json:"swaps"`
	Benches   []history.Mend      `json:"benches"` // corrected bench files and drivers
	Decisions []Decision          `json:"decisions"`
	Repairs   []string            `json:"repairs"` // files with what repairs set aside
}

// Calls are the steps of one name.
type Calls struct {
	Name    string `json:"name"`
	Steps   int    `json:"steps"`
	Retakes int    `json:"retakes"`
}

// Asked is one step in effect.
type Asked struct {
	Step    int     `json:"step"`
	At      string  `json:"at,omitempty"` // the script's line
	Request string  `json:"request"`      // as the script asks it
	T       float64 `json:"t"`            // when it was answered
	Retakes int     `json:"retakes,omitempty"`
	ByHand  bool    `json:"by_hand,omitempty"`
	Failure string  `json:"failure,omitempty"`
}

// Inspect returns the details of one run; with steps, every step is listed. It
// estimates the steps of a run under way as [Runs] does. It fails if the folder is
// not a run's folder or cannot be read, if the head of its journal is damaged, and
// if a newer candelua made it.
func Inspect(ctx context.Context, path string, steps bool, modules []*script.Module, rehearsal play.Reopen) (*Inspection, error) {
	run := see(path)
	if run.history == nil {
		if errors.Is(run.Err, store.ErrNoRun) {
			return nil, fault.Usage(run.Err)
		}
		return nil, run.Err
	}
	run.About = aboutOne(ctx, run, modules, rehearsal)
	h := run.head
	i := &Inspection{Summary: run.Summary, Title: titleOf(ctx, run, modules), File: h.File, Scripts: h.Scripts, Params: h.Params,
		Seed: h.Seed, Engine: h.Engine, Devices: h.Devices, Caution: h.Caution, Repairs: append([]string{}, run.kept...),
		Calls:  []Calls{},
		Pauses: append([]history.Pause{}, run.history.Pauses...), Voids: append([]history.Void{}, run.history.Voids...),
		Edits: append([]history.Edit{}, run.history.Edits...), Swaps: append([]history.Swap{}, run.history.Swaps...),
		Benches: append([]history.Mend{}, run.history.Mends...), Decisions: []Decision{}}
	if err := i.countSteps(run, steps, modules); err != nil {
		return nil, err
	}
	var err error
	if i.Tried, err = run.history.Tried(); err != nil {
		return nil, err
	}
	i.Parts = run.history.Parts(i.Seconds)
	return i, context.Cause(ctx)
}

// titleOf is the title in the stored script. It is empty if the script cannot be
// compiled: the rest of the run can still be shown.
func titleOf(ctx context.Context, run *sight, modules []*script.Module) string {
	folder, _, err := store.Look(run.Path)
	if err != nil {
		return ""
	}
	defer func() { _ = folder.Close() }() // nothing was written that could be lost
	file := run.history.Scripts().File
	src, err := folder.Procedure(file)
	if err != nil {
		return ""
	}
	p := &procedure.Procedure{Name: run.head.Procedure, File: file, Source: src, Origin: folder.Path(), Find: folder.Procedure}
	loaded, err := procedure.Load(ctx, p, modules)
	if err != nil {
		return ""
	}
	return loaded.Contract.Title
}

// stepDecide is the step by which a script keeps a choice.
const stepDecide = "run.decide"

// countSteps goes through the steps in effect.
func (i *Inspection) countSteps(run *sight, list bool, modules []*script.Module) error {
	for n := 1; n <= run.history.Journal.Steps(); n++ {
		s, err := run.history.Journal.Step(n)
		if err != nil {
			return err
		}
		i.Seconds = s.T
		i.Retakes += s.Retakes
		at := slices.IndexFunc(i.Calls, func(c Calls) bool { return c.Name == s.Name })
		if at < 0 {
			at = len(i.Calls)
			i.Calls = append(i.Calls, Calls{Name: s.Name})
		}
		i.Calls[at].Steps++
		i.Calls[at].Retakes += s.Retakes
		if s.Name == stepDecide {
			i.Decisions = append(i.Decisions, decisionOf(n, s.Args, s.Answer))
		}
		if !list {
			continue
		}
		a := Asked{Step: n, At: s.At, Request: script.ShowStep(modules, s.Name, s.Args), T: s.T, Retakes: s.Retakes, ByHand: s.ByHand}
		if s.Failure != nil {
			a.Failure = s.Failure.Message
		}
		i.Asked = append(i.Asked, a)
	}
	return nil
}

// Decision is a choice that the script made from readings and kept.
type Decision struct {
	Step  int             `json:"step"`
	Name  string          `json:"name"`
	Value json.RawMessage `json:"value"`
}

func decisionOf(step int, args, answer json.RawMessage) Decision {
	var asked struct {
		Name string `json:"name"`
	}
	var chosen struct {
		Value json.RawMessage `json:"value"`
	}
	_ = json.Unmarshal(args, &asked) // what another version wrote is left empty
	_ = json.Unmarshal(answer, &chosen)
	if chosen.Value == nil {
		chosen.Value = json.RawMessage("null")
	}
	return Decision{step, asked.Name, chosen.Value}
}
