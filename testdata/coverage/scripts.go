package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"candelua/builtins"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

// survey is how often anybody's scripts hold the truth: each script of a folder is run with
// many seeds, and what it states is compared with what it states on exact instruments.
type survey struct {
	folder  string   // or shippedFolder
	world   string   // a file or a name; "": steady.toml of the folder
	only    []string // these scripts alone; none: all
	runs    int
	draws   int // 0: as many as a run has where nobody asks for a number
	workers int
	keep    string // a folder that keeps what was run; "": nothing is kept
	told    func(format string, args ...any)
}

// shippedFolder stands for the shipped procedures in place of a folder.
const shippedFolder = "shipped"

// once is what became of one run.
type once struct {
	Seed   uint64   `json:"seed"`
	Error  string   `json:"error,omitempty"`
	Doubts []string `json:"doubts,omitempty"`
	Values []stated `json:"values,omitempty"`
}

// surveyed are the runs of one script, by their seeds, and the run on exact instruments.
type surveyed struct {
	script string
	truth  once
	runs   []once
}

// names lists the scripts that are run.
func (s *survey) names() (names []string, _ error) {
	if s.folder == shippedFolder {
		names = procedure.Shipped(scripts.Files)
	} else {
		files, err := filepath.Glob(filepath.Join(s.folder, "*.lua"))
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			names = append(names, strings.TrimSuffix(filepath.Base(f), ".lua"))
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("there is no script in %s", s.folder)
	}
	for _, name := range s.only {
		if !slices.Contains(names, name) {
			return nil, fmt.Errorf("there is no script %q, want one of %s", name, strings.Join(names, ", "))
		}
	}
	if len(s.only) > 0 {
		names = s.only
	}
	return names, nil
}

// params are those of the world, as its file states them.
func (s *survey) params() (sim.Params, error) {
	if s.world == "" && s.folder == shippedFolder {
		return sim.Params{}, errors.New("name the world for the shipped procedures: --world testdata/coverage/scripts/steady.toml")
	}
	if s.world != "" {
		return sim.Load(s.world)
	}
	return sim.Load(filepath.Join(s.folder, "steady.toml"))
}

// run runs all scripts, one after the other.
func (s *survey) run(ctx context.Context) (all []surveyed, err error) {
	names, err := s.names()
	if err != nil {
		return nil, err
	}
	world, err := s.params()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		one, err := s.script(ctx, name, world)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, one)
	}
	return all, nil
}

// report runs all scripts and prints what they came to; a table goes into a file where one is named.
func (s *survey) report(ctx context.Context, out io.Writer, table string) error {
	s.told = func(format string, args ...any) { fmt.Fprintf(os.Stderr, format+"\n", args...) }
	began := time.Now()
	all, err := s.run(ctx)
	if err != nil {
		return err
	}
	printSurvey(out, all)
	fmt.Fprintf(out, "\n%s, %.0f s\n", began.Format(time.DateOnly), time.Since(began).Seconds())
	if table == "" {
		return nil
	}
	f, err := os.Create(table)
	if err != nil {
		return err
	}
	return errors.Join(writeCSV(f, all), f.Close())
}

// noDraws gives no value an interval.
var noDraws = uncertainty.Fixed(0)

// load finds a script and compiles it.
func (s *survey) load(ctx context.Context, name string) (*subject, *procedure.Loaded, error) {
	from := filepath.Join(s.folder, name+".lua")
	if s.folder == shippedFolder {
		from = name
	}
	p, err := procedure.Find(from, scripts.Files)
	if err != nil {
		return nil, nil, err
	}
	loaded, err := procedure.Load(ctx, p, builtins.Modules())
	if err != nil {
		return nil, nil, err
	}
	params, err := loaded.Contract.Values(nil)
	return &subject{name, loaded.Program, params}, loaded, err
}

// script runs one script.
func (s *survey) script(ctx context.Context, name string, world sim.Params) (surveyed, error) {
	of, loaded, err := s.load(ctx, name)
	if err != nil {
		return surveyed{}, err
	}
	out := surveyed{script: name, runs: make([]once, s.runs)}
	if out.truth, err = of.once(ctx, exact(world), 1, noDraws); err != nil {
		return surveyed{}, err
	}
	if err := out.truth.takeTruths(string(loaded.Files[0].Source)); err != nil {
		return surveyed{}, err
	}
	kept, err := s.kept(loaded, world)
	if err != nil {
		return surveyed{}, err
	}
	defer kept.close()
	return out, s.seeds(ctx, of, anyMeter(world), kept, out.runs)
}

// seeds makes the runs that are not kept from before, several at a time.
func (s *survey) seeds(ctx context.Context, of *subject, world sim.Params, kept *kept, runs []once) error {
	plan := uncertainty.Planned(uncertainty.AsNeeded)
	if s.draws > 0 {
		plan = uncertainty.Fixed(s.draws)
	}
	var group sync.WaitGroup
	var lock sync.Mutex
	var failed error
	next, done := 0, 0
	take := func() int {
		lock.Lock()
		defer lock.Unlock()
		if failed != nil {
			return len(runs)
		}
		next++
		return next - 1
	}
	over := func(i int, r once, isNew bool, err error) {
		lock.Lock()
		defer lock.Unlock()
		if err == nil && isNew {
			err = kept.add(r)
		}
		runs[i], failed = r, errors.Join(failed, err)
		if done++; done%20 == 0 || done == len(runs) {
			s.told("%s: %d of %d", of.name, done, len(runs))
		}
	}
	first := firstSeed(of.name)
	for range max(1, min(s.workers, len(runs))) {
		group.Go(func() {
			for i := take(); i < len(runs); i = take() {
				seed := first + uint64(i)
				if r, ok := kept.runs[seed]; ok {
					over(i, r, false, nil)
					continue
				}
				r, err := of.once(ctx, world, seed, plan)
				over(i, r, true, err)
			}
		})
	}
	group.Wait()
	return failed
}

// firstSeed is that of a script's runs; the others follow it. Each script has seeds of its own, and so meters of its own:
// were they the same for all, so would be the luck with them.
func firstSeed(name string) uint64 {
	h := fnv.New32a()
	_, _ = h.Write([]byte(name)) // never fails
	return uint64(h.Sum32()) * 1000
}

// once runs the script with one seed, and gives what it states. Without draws there are no intervals.
func (s *subject) once(ctx context.Context, w sim.Params, seed uint64, plan uncertainty.Plan) (once, error) {
	job, out, err := s.execute(ctx, w, seed)
	if err != nil {
		return once{}, err
	}
	if out.Err != nil {
		return once{Seed: seed, Error: out.Err.Error()}, context.Cause(ctx)
	}
	if plan.Draws > 0 {
		d, err := drawn(ctx, job, out.Results, plan, false)
		if err != nil {
			return once{}, err
		}
		if err := d.Conclude(); err != nil {
			return once{}, err
		}
	}
	return once{Seed: seed, Doubts: doubts(out.Results), Values: statedBy(out.Results)}, nil
}

// sumOf is a check sum of texts.
func sumOf(texts ...string) string {
	h := sha256.New()
	for _, text := range texts {
		fmt.Fprintf(h, "%d %s\n", len(text), text)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:16])
}

// build is a check sum of this program: what another one made is not mixed with its own.
var build = sync.OnceValues(func() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	data, err := fs.ReadFile(os.DirFS(filepath.Dir(path)), filepath.Base(path))
	return sumOf(string(data)), err
})
