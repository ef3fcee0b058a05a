// Command coverage measures how often the 95 % intervals of shipped procedures'
// values hold the truth, on simulated units by meters that err as their
// certificates state. The studies are trials; each seed is another meter and
// other noise. It prints a table:
//
//	go run ./testdata/coverage                          # all studies, 1,000 runs in each world
//	go run ./testdata/coverage --runs 200 gamut         # one, with fewer
//	go run ./testdata/coverage --pairs 2000             # comparisons of two runs besides
//	go run ./testdata/coverage --scripts testdata/coverage/scripts --runs 400
//
// The last one is about anybody's scripts: each is run in a steady world with many meters, and
// what it states is compared with what it states on exact instruments.
//
// The runs have the seeds first, first + 1, … So a table can be made again.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"strings"
	"time"

	"candelua/engine/uncertainty"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "coverage:", err)
		os.Exit(1)
	}
}

func run() error {
	runs := flag.Int("runs", 1000, "runs in each world; 0: no study of values")
	draws := flag.Int("draws", 0, "draws of a run, at least 100; 0: as each study has it")
	values := flag.String("value", "", "only this value, by its id")
	world := flag.String("world", "", "only this world; with --scripts the world's file or name, steady.toml of the folder where there is none")
	pairs := flag.Int("pairs", 0, "pairs of runs to compare, with one meter and with two")
	var anybody survey
	flag.StringVar(&anybody.folder, "scripts", "", "in place of the studies, the scripts of this folder; shipped: the shipped procedures")
	only := flag.String("only", "", "with --scripts: these alone, with commas between")
	flag.IntVar(&anybody.workers, "workers", 2, "with --scripts: runs at a time")
	flag.StringVar(&anybody.keep, "keep", "", "with --scripts: a folder that keeps what was run, so that it goes on there after a stop")
	table := flag.String("csv", "", "with --scripts: a file that takes the table as CSV")
	first := flag.Int("seed", 1, "the first pair's seed; the studies of values begin at 1")
	flag.Parse()
	defer uncertainty.CollectSeldom()()
	ctx, began := context.Background(), time.Now()
	if anybody.folder != "" {
		anybody.world, anybody.runs, anybody.draws = *world, *runs, *draws
		if *only != "" {
			anybody.only = strings.Split(*only, ",")
		}
		return anybody.report(ctx, os.Stdout, *table)
	}
	if *runs > 0 {
		if err := studies(ctx, os.Stdout, flag.Args(), choice{*runs, *draws, *values, *world}); err != nil {
			return err
		}
	}
	if *pairs > 0 {
		if err := comparePairs(ctx, os.Stdout, *pairs, max(*draws, 100), *first); err != nil {
			return err
		}
	}
	fmt.Printf("\n%s, %.0f s\n", began.Format(time.DateOnly), time.Since(began).Seconds())
	return nil
}
