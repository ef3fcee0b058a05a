package engine

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync/atomic"

	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/progress"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/store"
	"candelua/engine/uncertainty"
)

// Setup is what runs, resumptions and replays have in common: the builtins and
// the ways in which the engine speaks to whoever started it.
type Setup struct {
	Version string
	Modules []*script.Module
	Print   func(string)     // what the script prints
	Tell    func(play.Event) // what goes on, see [play.Listener]
	Opened  func(string)     // the run's folder, once it is there and before any step
	Warn    func(string)     // what should be known, and does not stop the run
	// Drawing is called with the number of draws for the uncertainties that are made, first with 0, and with how many there will be at most.
	Drawing func(made, of int)
	// Foreseen is given how a run is expected to go, before it or soon after it begins; nil where nobody asks.
	Foreseen func(*progress.Course)
	// Draws is how many a replay makes; nil for as many as the run had.
	Draws *int
	// Accept shows cautions before anything lights up, and fails where they are not accepted. A caution of what could not be
	// foreseen is shown when it is asked for. Nil accepts.
	Accept func(ctx context.Context, all []caution.Caution, simulated bool) error
}

// Spec says what is to be run, and on what.
type Spec struct {
	Setup
	Procedure *procedure.Procedure
	Set       []string // parameters, as name=value
	Bench     *bench.File
	Openers   bench.Openers
	Texts     map[string]string // files that a resumption needs again
	Unit      *bench.UnitFile
	Mode      string
	Seed      uint64
	Draws     int // how many are made for the uncertainties: [uncertainty.AsNeeded]; 0 for none
	Out       string
	// Rehearsal is a simulated bench, on which a run on a real one is rehearsed first, so that it is known how long it takes and what
	// it shows; nil does without.
	Rehearsal Rehearsal
	Attended  bool // somebody is asked at times whether anybody is there
	Sync      bool // have each answer on the disk before the script sees it
}

// Report is what became of a run, a resumption or a replay.
type Report struct {
	*play.Outcome
	Path        string // of the run's folder
	Head        history.Head
	Tried       []history.Tried     // instruments of a run that were asked again for something
	Recorded    journal.Standing    // of a replay: how the run itself ended
	Differences []result.Difference // of a replay
	Files       []store.FileChange  // of a replay: the files that are not as the run wrote them
	Uncompared  error               // of a replay: why there were no results to compare with; nil where there were
	Older       *Older              // of a replay: what cannot be compared, since the run was made by older rules; nil for nothing
	Kept        string              // of a replay: the folder that holds its uncertainties; empty where nothing was kept
}

// job readies a journal to be executed by a program.
func (s *Setup) job(program *script.Program, j *journal.Journal) (*play.Job, error) {
	h, err := history.Read(j)
	if err != nil {
		return nil, err
	}
	return s.jobOf(program, h), nil
}

func (s *Setup) jobOf(program *script.Program, h *history.History) *play.Job {
	job := play.NewJob(program, h)
	job.Print, job.Tell, job.Warn = s.Print, s.Tell, s.Warn
	return job
}

func (s *Setup) warn(format string, args ...any) {
	if s.Warn != nil {
		s.Warn(fmt.Sprintf(format, args...))
	}
}

// Run executes a procedure in a new run folder. The report is there whenever
// the folder is; the error says why nothing could be run.
func Run(ctx context.Context, s Spec) (rep *Report, err error) {
	loaded, err := procedure.Load(ctx, s.Procedure, s.Modules)
	if err != nil {
		return nil, err
	}
	contract := loaded.Contract
	params, err := contract.Values(s.Set)
	if err != nil {
		return nil, wrongParam(contract, s.Procedure, err)
	}
	mode, err := s.Unit.Mode(s.Mode)
	if err != nil {
		return nil, fault.Usage(err)
	}
	s.Bench = s.Bench.WithUnit(s.Unit)
	b, err := play.OpenBench(ctx, s.Bench, s.Openers)
	if err != nil {
		return nil, err
	}
	opened := play.Lend(b, func(ctx context.Context) (*bench.Bench, error) { return play.OpenBench(ctx, s.Bench, s.Openers) })
	defer opened.Close()
	if err := Ready(contract, b, mode); err != nil {
		return nil, fault.Usage(err)
	}
	head := history.Head{Engine: s.Version, Rules: history.Rules, Procedure: s.Procedure.Name, File: s.Procedure.File, Source: s.Procedure.FoundAs(), Scripts: loaded.Sums(), Params: params,
		Seed: s.Seed, Draws: s.Draws, Sync: s.Sync, Unit: s.Unit.Name, Serial: s.Unit.Serial(), Panel: s.Unit.Panel(), Mode: mode, Bench: b.Name, Simulated: b.Simulated, Devices: b.Devices(),
		Texts: s.Texts, Started: b.Clock.Wall().UTC(), Caution: contract.Caution}
	if err := s.checkCorrections(&head); err != nil {
		return nil, fault.Usage(err)
	}
	cautions := loaded.CautionsWith(params)
	if b.Real {
		cautions = append(cautions, s.foretold(ctx, loaded, head)...)
		head.Cautions = kindsOf(cautions)
	}
	if err := s.accept(ctx, cautions, b.Simulated); err != nil {
		return nil, err
	}
	if !b.Real { // else it was rehearsed for the cautions
		defer s.foresee(ctx, s.Rehearsal, loaded, head)()
	}
	folder, j, err := s.create(head, loaded)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, j.Close(), folder.Close()) }()
	job, err := s.job(loaded.Program, j)
	if err != nil {
		return nil, err
	}
	job.Open = opened.Take
	s.told(job, cautions)
	return s.execute(ctx, job, folder)
}

// wrongParam makes a sentence of the hint for a parameter, whose help alone says
// nothing of what to do.
func wrongParam(c *script.Contract, from *procedure.Procedure, err error) error {
	var arg *fault.ArgError
	if !errors.As(err, &arg) {
		return fault.Usage(err)
	}
	name, _, _ := strings.Cut(arg.Arg, "[")
	p := c.Param(name)
	if p == nil || !strings.HasSuffix(arg.Tip, p.Help) {
		return fault.Usage(err)
	}
	tip := "see candelua describe " + plain.Word(from.FoundAs())
	_, numbers := p.Default.([]float64)
	switch isText := strings.HasPrefix(arg.Got, `"`); {
	case isText && numbers:
		tip = "write a list as 1,2,5, without a unit; " + tip
	case isText && p.Unit != "":
		tip = "give the number without its unit; " + tip
	}
	if p.Help != "" {
		tip = p.Name + ": " + p.Help + "; " + tip
	}
	if arg.Near != "" {
		tip = fmt.Sprintf("did you mean --set %s=%s? (%s)", p.Name, plain.Word(arg.Near), tip)
	}
	return &fault.UsageError{Err: err, Tip: tip}
}

// Ready checks what a procedure needs against what there is, before anything is asked.
func Ready(c *script.Contract, b *bench.Bench, mode string) error {
	if err := fits(c, b); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(c.Settings)) {
		if err := readySetting(c, b, name); err != nil {
			return err
		}
	}
	return b.AgreesWithMode(mode, c.Settings)
}

// fits refuses a bench that lacks what a procedure needs, with all of it.
func fits(c *script.Contract, b *bench.Bench) error {
	needed := maps.Clone(c.Needed)
	if _, stated := needed["unit"]; !stated && len(c.Settings) > 0 {
		needed["unit"] = bench.Need{} // which the settings are made on
	}
	lacks := b.Lacks(needed)
	if len(lacks) == 0 {
		return nil
	}
	var sections []string
	for _, place := range slices.Sorted(maps.Keys(needed)) {
		if b.Device(place) == nil && !needed[place].Optional {
			sections = append(sections, "["+place+"]")
		}
	}
	hint := "use devices that can do it"
	switch len(sections) {
	case 0:
	case 1:
		hint = "add a section " + sections[0] + " with its driver to the bench file; a person at the bench is driver = \"operator\""
	default:
		hint = "add the sections " + strings.Join(sections, ", ") + " with their drivers to the bench file; a person at the bench is driver = \"operator\""
	}
	return bench.Errorf(bench.CodeUnsupported, hint, "the bench %q lacks what the procedure needs: %s", b.Name, strings.Join(lacks, "; "))
}

// readySetting checks a setting against the unit's controls, which may have it under
// a name that the control had before.
func readySetting(c *script.Contract, b *bench.Bench, name string) error {
	err := b.CheckSetting(bench.Setting{Name: name, Value: c.Settings[name]})
	for _, former := range c.FormerControls(name) {
		if err == nil || b.CheckSetting(bench.Setting{Name: former, Value: c.Settings[name]}) == nil {
			return nil
		}
	}
	return err
}

// create makes the run's folder with the scripts and the journal, which comes
// last: as soon as it is there, the run can be gone on with.
func (s *Spec) create(h history.Head, loaded *procedure.Loaded) (*store.Run, *journal.Journal, error) {
	folder, err := store.Create(s.Out, h.Procedure)
	if err != nil {
		return nil, nil, fault.Usage(err)
	}
	folder.TellTo(s.Warn)
	j, err := s.begin(folder, h, loaded)
	if err != nil {
		return nil, nil, errors.Join(err, folder.Drop()) // nothing is in it
	}
	return folder, j, nil
}

func (s *Spec) begin(folder *store.Run, h history.Head, loaded *procedure.Loaded) (*journal.Journal, error) {
	for _, f := range loaded.Files {
		if err := folder.AddProcedure(f.Name, f.Source); err != nil {
			return nil, err
		}
	}
	if err := folder.WriteMeta(archive.Meta{Head: h, Status: journal.Paused}); err != nil {
		return nil, err
	}
	return journal.Create(folder.JournalPath(), h, journal.Options{Sync: s.Sync, Tell: s.Warn, Folder: folder.Secure})
}

// execute runs a job and writes all that follows from its journal.
func (s *Setup) execute(ctx context.Context, job *play.Job, folder *store.Run) (*Report, error) {
	if s.Opened != nil {
		s.Opened(folder.Path())
	}
	rep := &Report{Path: folder.Path(), Head: job.Head}
	out, err := job.Execute(ctx)
	if out == nil {
		return rep, err
	}
	rep.Outcome = out
	rep.Tried, _ = job.History.Tried() // a step that cannot be read is told of by what became of the run
	if job.Editing() {
		return rep, err // the edited script got nowhere, so the run stays as it was
	}
	kept := s.keep(ctx, job, folder, out)
	if kept == nil && s.Tell != nil {
		s.Tell(play.Concluded{Results: out.Results.Snapshot()})
	}
	if errors.Is(out.Err, journal.ErrBroken) {
		kept = nil // where the journal cannot be written, little else can; that is the cause to tell
	}
	return rep, errors.Join(err, kept)
}

// keep writes the results of a run, with the uncertainties of one that is done.
// Those take time; should it end meanwhile, all else is there, and run.json,
// which says that the run is done, is not. Draws that are interrupted, or too many for
// memory, are left out.
func (s *Setup) keep(ctx context.Context, j *play.Job, folder *store.Run, out *play.Outcome) error {
	if err := doubt(ctx, j, out); err != nil {
		return errors.Join(err, writeAll(folder, j, out))
	}
	if out.Status != journal.Done || j.Head.Draws == 0 {
		return writeAll(folder, j, out)
	}
	if err := conclude(folder, j, out); err != nil {
		return err
	}
	err := s.uncertainties(ctx, j, out.Results, budgeted(j.Head.Draws))
	const kept = "; all other results are saved; compute the uncertainties, into a folder beside the results, with: candelua replay %s --draws %d"
	n := j.Head.Draws
	if n == uncertainty.AsNeeded {
		n = uncertainty.DefaultDraws
	}
	var many *uncertainty.TooManyDrawsError
	switch {
	case err == nil:
		s.warnOfFewer(plain.Word(folder.Path()), out.Results.Draws())
	case errors.As(err, &many):
		out.Results.SetDraws(uncertainty.TooMany(many))
		s.warn("the uncertainties were not computed: %v"+kept, err, plain.Word(folder.Path()), many.Most())
	case context.Cause(ctx) != nil:
		out.Results.SetDraws(uncertainty.Stopped(n, result.Interrupted, "their computation was stopped"))
		s.warn("the computation of the uncertainties was stopped"+kept, plain.Word(folder.Path()), n)
	case errors.Is(err, sandbox.ErrHeap):
		out.Results.SetDraws(uncertainty.Stopped(n, result.TooManyDraws, err.Error()))
		s.warn("the uncertainties were not computed: %v"+kept, err, plain.Word(folder.Path()), n)
	default:
		return errors.Join(err, writeAll(folder, j, out))
	}
	return writeAll(folder, j, out)
}

// warnOfFewer warns where a limit ended the draws.
func (s *Setup) warnOfFewer(path string, d *result.Draws) {
	if d.Ended == result.EndedByWork || d.Ended == result.EndedByTime {
		s.warn("%s", strings.ReplaceAll(d.Note, "RUN", path))
	}
}

// budgeted plans the draws of a run; a test has smaller limits.
var budgeted = uncertainty.Planned

// rulesOfBudget are those since which draws are not made where they could change nothing.
const rulesOfBudget = 4

// uncertainties draws, and gives results their uncertainties.
func (s *Setup) uncertainties(ctx context.Context, j *play.Job, r *result.Results, p uncertainty.Plan) error {
	var made atomic.Int64
	if s.Drawing != nil {
		s.Drawing(0, p.Draws)
	}
	p.Always = j.Head.ByRules() < rulesOfBudget
	p.Straight = p.Always
	many, err := j.Many(false)
	if err != nil {
		return err
	}
	drawn, err := uncertainty.Draw(ctx, many, r, p, func() {
		if now := int(made.Add(1)); s.Drawing != nil {
			s.Drawing(now, p.Draws)
		}
	})
	if err != nil {
		return err
	}
	return drawn.Conclude()
}

// doubt tells of results that are computed from readings against which something stands. Of a run that is not done,
// or whose execution again is stopped, it is left open. Runs by rules in which no reading stands so have nothing to tell.
func doubt(ctx context.Context, j *play.Job, out *play.Outcome) error {
	if len(out.Results.Standing()) == 0 {
		return nil
	}
	if out.Status != journal.Done {
		return uncertainty.Doubt(ctx, nil, out.Results)
	}
	many, err := j.Many(false)
	if err != nil {
		return err
	}
	err = uncertainty.Doubt(ctx, many, out.Results)
	if err != nil && (context.Cause(ctx) != nil || errors.Is(err, sandbox.ErrHeap)) {
		return uncertainty.Doubt(context.WithoutCancel(ctx), nil, out.Results)
	}
	return err
}

// conclude writes the results into the folder at the run's path, beside the journal that they follow from.
func conclude(folder *store.Run, job *play.Job, out *play.Outcome) error {
	if err := folder.Secure(); err != nil {
		return err
	}
	if err := job.History.Journal.Secure(); err != nil {
		return err
	}
	return archive.WriteConclusions(folder, out, job.Head.Simulated)
}

// writeAll writes what can be rebuilt from the journal; run.json, which says
// that the run is done, comes last.
func writeAll(folder *store.Run, job *play.Job, out *play.Outcome) error {
	if err := conclude(folder, job, out); err != nil {
		return err
	}
	meta := archive.MetaOf(job.History, out)
	var was archive.Meta
	if folder.ReadMeta(&was) == nil { // what cannot be read tells of nothing
		meta.After(was.Still, out)
	}
	meta.Files = folder.Sums()
	return folder.WriteMeta(meta)
}
