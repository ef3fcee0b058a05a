package engine

import (
	"context"
	"errors"
	"fmt"
	"os"

	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/store"
)

// Setup is what runs, resumptions and replays have in common: the builtins and
// the ways in which the engine speaks to whoever started it.
type Setup struct {
	Version  string
	Modules  []*script.Module
	Print    func(string)   // what the script prints
	Progress func(Progress) // each step, as it is begun
	Opened   func(string)   // the run's folder, once it is there and before any step
	Warn     func(string)   // what should be known, and does not stop the run
	// Accept is asked to confirm a caution before anything lights up. Nil
	// accepts.
	Accept func(ctx context.Context, caution string, simulated bool) error
}

// Spec says what is to be run, and on what.
type Spec struct {
	Setup
	Procedure *Procedure
	Set       []string // parameters, as name=value
	Bench     *bench.File
	Openers   bench.Openers
	Texts     map[string]string // files that a resumption needs again
	Unit      *bench.UnitFile
	Mode      string
	Seed      uint64
	Out       string
	Sync      bool // have each answer on the disk before the script sees it
}

// Report is what became of a run, a resumption or a replay.
type Report struct {
	*Outcome
	Path        string // of the run's folder
	Head        Head
	Recorded    Status              // of a replay: how the run itself ended
	Differences []result.Difference // of a replay
}

// Describe reads the contract of a procedure. Nothing is touched.
func Describe(ctx context.Context, p *Procedure, modules []*script.Module) (*script.Contract, error) {
	_, contract, _, err := prepare(ctx, p, modules)
	return contract, err
}

// Prepare compiles a procedure and reads its contract, for those who execute
// it over a journal of their own.
func Prepare(ctx context.Context, p *Procedure, modules []*script.Module) (*script.Program, *script.Contract, error) {
	program, contract, _, err := prepare(ctx, p, modules)
	return program, contract, err
}

// prepare compiles a procedure and reads its contract and all that it loads.
func prepare(ctx context.Context, p *Procedure, modules []*script.Module) (*script.Program, *script.Contract, *loaded, error) {
	files := load(p)
	program, err := script.Compile(p.File, p.Source, files.loader, modules)
	if err != nil {
		return nil, nil, nil, err
	}
	rt, err := program.Start(ctx, script.Host{})
	if err != nil {
		return nil, nil, nil, err
	}
	defer rt.Close()
	files.sealed = true
	return program, rt.Contract(), files, nil
}

func (s *Setup) warn(format string, args ...any) {
	if s.Warn != nil {
		s.Warn(fmt.Sprintf(format, args...))
	}
}

// openBench opens a bench; what goes wrong there is the caller's to mend.
func openBench(ctx context.Context, f *bench.File, openers bench.Openers) (b *bench.Bench, err error) {
	err = guarded("bench", func() error {
		b, err = bench.Open(ctx, f, openers)
		return err
	})
	return b, usage(err)
}

// Run executes a procedure in a new run folder. The report is there whenever
// the folder is; the error says why nothing could be run.
func Run(ctx context.Context, s Spec) (rep *Report, err error) {
	program, contract, files, err := prepare(ctx, s.Procedure, s.Modules)
	if err != nil {
		return nil, err
	}
	params, err := contract.Values(s.Set)
	if err != nil {
		return nil, usage(err)
	}
	mode, err := s.Unit.Mode(s.Mode)
	if err != nil {
		return nil, usage(err)
	}
	b, err := openBench(ctx, s.Bench, s.Openers)
	if err != nil {
		return nil, err
	}
	opened := &once{b: b, open: func(ctx context.Context) (*bench.Bench, error) { return openBench(ctx, s.Bench, s.Openers) }}
	defer opened.close()
	if err := ready(contract, b, s.Unit); err != nil {
		return nil, usage(err)
	}
	if contract.Caution != "" && s.Accept != nil {
		if err := s.Accept(ctx, contract.Caution, b.Simulated); err != nil {
			return nil, err
		}
	}
	head := Head{Engine: s.Version, Procedure: s.Procedure.Name, File: s.Procedure.File, Scripts: files.sums(), Params: params,
		Seed: s.Seed, Sync: s.Sync, Unit: s.Unit.Name, Mode: mode, Bench: b.Name, Simulated: b.Simulated, Devices: b.Devices(),
		Texts: s.Texts, Started: b.Clock.Wall().UTC(), Caution: contract.Caution}
	folder, j, err := s.create(head, files)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, j.Close(), folder.Close()) }()
	job := &Job{Program: program, Head: head, Journal: j, Open: opened.take, Setup: s.Setup}
	if err := folder.WriteMeta(metaOf(job, &Outcome{Status: Paused})); err != nil {
		return nil, err
	}
	return execute(ctx, job, folder)
}

// once lends the bench that was opened to learn what is there to the first
// execution; a later one opens it anew.
type once struct {
	b    *bench.Bench
	open func(context.Context) (*bench.Bench, error)
}

func (o *once) take(ctx context.Context) (*bench.Bench, error) {
	if b := o.b; b != nil {
		o.b = nil
		return b, nil
	}
	return o.open(ctx)
}

func (o *once) close() {
	if o.b != nil {
		_ = guarded("bench", o.b.Close)
	}
}

// ready checks what a procedure needs against what there is.
func ready(c *script.Contract, b *bench.Bench, u *bench.UnitFile) error {
	there := map[string]bool{}
	for _, d := range b.Devices() {
		there[d.Name] = true
	}
	for _, need := range c.Needs {
		if !there[need] {
			return bench.Errorf(bench.CodeUnsupported, "add a section ["+need+"] to the bench file",
				"the procedure needs %s, and the bench %q has none", needText(need), b.Name)
		}
	}
	for name, value := range c.Settings {
		if err := u.Check(bench.Setting{Name: name, Value: value}); err != nil {
			return err
		}
	}
	return nil
}

// needText names a device in a sentence.
func needText(need string) string {
	switch need {
	case "patches":
		return "a source of patches"
	case "reference":
		return "a reference meter"
	case "operator":
		return "an operator"
	}
	return "a " + need
}

// create makes the run's folder with the scripts and the journal.
func (s *Spec) create(h Head, files *loaded) (*store.Run, *journal.Journal, error) {
	folder, err := store.Create(s.Out, h.Procedure)
	if err != nil {
		return nil, nil, usage(err)
	}
	for _, name := range files.files {
		if err := folder.AddProcedure(name, files.bytes[name]); err != nil {
			return nil, nil, errors.Join(err, folder.Close())
		}
	}
	j, err := journal.Create(folder.JournalPath(), h, journal.Options{Sync: s.Sync})
	if err != nil {
		return nil, nil, errors.Join(err, folder.Close())
	}
	return folder, j, nil
}

// execute runs a job and writes all that follows from its journal.
func execute(ctx context.Context, job *Job, folder *store.Run) (*Report, error) {
	if job.Opened != nil {
		job.Opened(folder.Path())
	}
	rep := &Report{Path: folder.Path(), Head: job.Head}
	out, err := job.Execute(ctx)
	if out == nil {
		return rep, err
	}
	rep.Outcome = out
	return rep, errors.Join(err, writeAll(folder, job, out))
}

// writeAll writes what can be rebuilt from the journal; run.json, which says
// that the run is done, comes last.
func writeAll(folder *store.Run, job *Job, out *Outcome) error {
	if err := folder.WriteResults(out.Results); err != nil {
		return err
	}
	if err := folder.WriteTables(out.Results); err != nil {
		return err
	}
	if err := folder.WriteDrawings(out.Results); err != nil {
		return err
	}
	if err := writeReadings(folder, out.Readings); err != nil {
		return err
	}
	return folder.WriteMeta(metaOf(job, out))
}

// ErrNothingToDo is a run that is done already.
var ErrNothingToDo = errors.New("the run is done; there is nothing to resume")

// Reopen gives what a resumed run needs of the world, from the head of its
// journal.
type Reopen func(Head) (*bench.File, bench.Openers, error)

// Resume goes on with a run: its stored scripts are executed from their start,
// the journal answers as far as it reaches, and then the run goes live.
func Resume(ctx context.Context, path string, s Setup, reopen Reopen) (rep *Report, err error) {
	folder, err := store.Open(path)
	if err != nil {
		return nil, usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	j, head, err := openJournal(folder)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, j.Close()) }()
	program, _, err := stored(ctx, folder, head, s.Modules)
	if err != nil {
		return nil, err
	}
	if last, ended := j.Ended(); ended && last.Status == string(Done) {
		return finish(ctx, folder, &Job{Program: program, Head: head, Journal: j, Setup: s})
	}
	file, openers, err := reopen(head)
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	if torn := j.Torn(); torn > 0 {
		s.warn("the journal's last line is torn; its %d bytes are dropped, and that step is taken again", torn)
	}
	warned := false
	job := &Job{Program: program, Head: head, Journal: j, Setup: s, Written: info.ModTime(),
		Open: func(ctx context.Context) (*bench.Bench, error) {
			b, err := openBench(ctx, file, openers)
			if err == nil && !warned {
				warned = true
				warnOthers(s, head, b)
			}
			return b, err
		}}
	return execute(ctx, job, folder)
}

// finish writes what follows from the journal of a run that is done, where a
// crash or a full disk kept it from being written.
func finish(ctx context.Context, folder *store.Run, job *Job) (*Report, error) {
	var m Meta
	if err := folder.ReadMeta(&m); err == nil && m.Status == Done {
		return nil, &UsageError{Err: ErrNothingToDo, Tip: "recompute its results with: candelua replay " + folder.Path()}
	}
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	rep := &Report{Outcome: out, Path: folder.Path(), Head: job.Head}
	if out.Err != nil {
		return rep, nil
	}
	return rep, writeAll(folder, job, out)
}

// warnOthers tells of instruments that are not the ones of the run's start.
func warnOthers(s Setup, h Head, b *bench.Bench) {
	now := identities(b.Devices())
	for _, d := range h.Devices {
		is, there := now[d.Name]
		switch {
		case !there:
			s.warn("the %s that the run began with, %s, is not there any more", d.Name, called(d.Identity))
		case called(is) != called(d.Identity):
			s.warn("the %s is not the one that the run began with: it was %s, and is %s", d.Name, called(d.Identity), called(is))
		case is != d.Identity:
			s.warn("the %s, %s, states other things of itself than when the run began: its firmware, floor or accuracy; the run goes by the former ones",
				d.Name, called(is))
		}
	}
}

// called is what a person tells an instrument by.
func called(id bench.Identity) string {
	if id.Serial == "" {
		return id.Name
	}
	return id.Name + " " + id.Serial
}

// openJournal opens the journal of a folder for going on; readJournal below
// for reading only.
func openJournal(folder *store.Run) (*journal.Journal, Head, error) {
	var h Head
	j, err := journal.Open(folder.JournalPath(), journal.Options{Sync: true})
	if err != nil {
		return nil, h, err
	}
	if err := j.Head(&h); err != nil {
		return nil, h, errors.Join(err, j.Close())
	}
	j.SetSync(h.Sync)
	return j, h, nil
}

// stored compiles the scripts that a run's folder keeps, and refuses those
// that are not the ones of the journal's head.
func stored(ctx context.Context, folder *store.Run, h Head, modules []*script.Module) (*script.Program, *loaded, error) {
	for _, s := range h.Scripts {
		src, err := folder.Procedure(s.Name)
		if err != nil {
			return nil, nil, err
		}
		if Sum(src) != s.SHA256 {
			return nil, nil, &UsageError{Err: fmt.Errorf("%s in the run's folder is not the script that the run was made with", s.Name),
				Tip: "put the original back; its SHA-256 is " + s.SHA256}
		}
	}
	src, err := folder.Procedure(h.File)
	if err != nil {
		return nil, nil, err
	}
	p := &Procedure{Name: h.Procedure, File: h.File, Source: src, Origin: folder.Path(), Find: folder.Procedure}
	program, _, files, err := prepare(ctx, p, modules)
	return program, files, err
}

// Replay recomputes a run's results from its scripts and journal, without any
// instrument, and compares them with the recorded ones. Nothing is written.
func Replay(ctx context.Context, path string, s Setup) (rep *Report, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	var h Head
	if err := j.Head(&h); err != nil {
		return nil, err
	}
	program, _, err := stored(ctx, folder, h, s.Modules)
	if err != nil {
		return nil, err
	}
	out, err := (&Job{Program: program, Head: h, Journal: j, Setup: s}).Replay(ctx)
	if err != nil {
		return nil, err
	}
	rep = &Report{Outcome: out, Path: folder.Path(), Head: h, Recorded: recordedStatus(j)}
	recorded, err := folder.ReadResults()
	if err != nil {
		return rep, err
	}
	rep.Differences = result.Compare(recorded, out.Results)
	return rep, nil
}

// recordedStatus is how a run ended; one that was cut off is paused.
func recordedStatus(j *journal.Journal) Status {
	if last, ended := j.Ended(); ended {
		return Status(last.Status)
	}
	return Paused
}

// Meta is run.json: what was asked, and how it went. All of it can be rebuilt
// from the journal.
type Meta struct {
	Head
	Status  Status         `json:"status"`
	Reason  string         `json:"reason,omitempty"`
	Seconds float64        `json:"seconds"` // script time
	Steps   int            `json:"steps"`
	Retakes int            `json:"retakes,omitempty"` // steps that were asked again
	Voids   []VoidMeta     `json:"voids,omitempty"`
	Pauses  []PauseMeta    `json:"pauses,omitempty"`
	Finding result.Finding `json:"finding,omitempty"`
}

// VoidMeta is a stretch of steps that was set aside.
type VoidMeta struct {
	From   int    `json:"from"`
	Reason string `json:"reason"`
}

// PauseMeta is a time for which the run stood still.
type PauseMeta struct {
	At      float64 `json:"at"` // script time, seconds
	Seconds float64 `json:"seconds"`
}

func metaOf(job *Job, out *Outcome) Meta {
	m := Meta{Head: job.Head, Status: out.Status, Seconds: out.Seconds, Steps: out.Steps}
	if out.Err != nil {
		m.Reason = out.Err.Error()
	}
	if out.Results != nil {
		m.Finding = out.Results.Finding()
	}
	for _, r := range job.Journal.All() {
		switch r.Kind {
		case journal.KindVoid:
			m.Voids = append(m.Voids, VoidMeta{From: r.From, Reason: r.Reason})
		case journal.KindResume:
			m.Pauses = append(m.Pauses, PauseMeta{At: r.T, Seconds: r.PauseSeconds})
		}
	}
	for n := 1; n <= job.Journal.Steps(); n++ {
		if s, err := job.Journal.Step(n); err == nil {
			m.Retakes += s.Retakes
		}
	}
	return m
}
