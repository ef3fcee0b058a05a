package engine

import (
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/script"
	"candelua/engine/store"
	"context"
	"errors"
	"fmt"
	"os"
)

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
	if head.Caution != "" && s.Accept != nil {
		if err := s.Accept(ctx, head.Caution, head.Simulated); err != nil {
			return nil, err
		}
	}
	info, err := os.Stat(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	if torn := j.Torn(); torn > 0 {
		s.warn("the journal's last line is torn; its %d bytes are dropped, and that step is taken again", torn)
	}
	warned := false
	job := &Job{Program: program, Head: head, Journal: j, Setup: s, Written: lastWritten(j, info.ModTime()),
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

// openJournal opens the journal of a folder for going on.
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
