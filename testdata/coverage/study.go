package main

import (
	"context"
	"embed"
	"fmt"
	"io"
	"math"
	"path"
	"slices"
	"strings"

	"candelua/builtins"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/scripts"
)

//go:embed studies/*.lua
var files embed.FS

// choice is what of the studies is run.
type choice struct {
	runs, draws  int
	value, world string
}

// names lists the studies.
func names() (all []string) {
	entries, _ := files.ReadDir("studies") // embedded: it is there
	for _, e := range entries {
		all = append(all, strings.TrimSuffix(e.Name(), ".lua"))
	}
	return all
}

// studies runs the named studies, all where none is named, and prints a table.
func studies(ctx context.Context, out io.Writer, which []string, c choice) error {
	if len(which) == 0 {
		which = names()
	}
	for i, name := range which {
		rep, draws, err := study(ctx, name, c)
		if err != nil {
			return err
		}
		if i > 0 {
			fmt.Fprintln(out)
		}
		fmt.Fprintf(out, "%s, %d draws a run\n\n", name, draws)
		fmt.Fprintln(out, "| value | world | runs | covered, % | bias | scatter | u / scatter | methods | none |")
		fmt.Fprintln(out, "| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
		var whys []string
		for _, world := range rep.Worlds {
			for i := range world.Checks {
				if k := &world.Checks[i]; c.value == "" || c.value == k.ID {
					fmt.Fprintln(out, row(world.World, k, world.Failed))
					whys = append(whys, why(world.World, k, world.Error)...)
				}
			}
		}
		for _, text := range whys {
			fmt.Fprintf(out, "\n%s\n", text)
		}
	}
	return nil
}

// why says why some runs have no interval.
func why(world string, k *trial.Check, ended string) (all []string) {
	for _, text := range []string{k.Why, ended} {
		if text != "" {
			all = append(all, fmt.Sprintf("%s, %s: %s", world, k.ID, text))
		}
	}
	return all
}

// study runs one study.
func study(ctx context.Context, name string, c choice) (*trial.Report, int, error) {
	src, err := files.ReadFile(path.Join("studies", name+".lua"))
	if err != nil {
		return nil, 0, fmt.Errorf("there is no study %q, want one of %s", name, strings.Join(names(), ", "))
	}
	t, err := trial.Parse(ctx, name+".lua", src, "")
	if err != nil {
		return nil, 0, err
	}
	if c.draws > 0 {
		t.Draws = c.draws
	}
	t.Seeds = c.runs
	if c.world != "" {
		t.Worlds = slices.DeleteFunc(t.Worlds, func(w trial.NamedWorld) bool { return w.Name != c.world })
	}
	rep, err := (&trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Worlds: worlds}).Run(ctx, t)
	return rep, t.Draws, err
}

func worlds(ref trial.WorldRef) (trial.World, error) {
	return sim.NewSubject(ref.World, ref.Faults, ref.Dir)
}

// row says of a value how often its interval held the truth, with the standard
// error of such a share; bias and scatter of the value, and how its
// uncertainty compares with that.
func row(world string, k *trial.Check, failed int) string {
	share, unit := math.NaN(), strings.TrimSpace(k.Unit)
	if k.Intervals > 0 {
		share = float64(k.Covered) / float64(k.Intervals)
	}
	se := math.Sqrt(share * (1 - share) / float64(k.Intervals))
	number := func(x *float64) string {
		if x == nil {
			return "-"
		}
		return strings.TrimSpace(fmt.Sprintf("%.3g %s", *x, unit))
	}
	ratio := "-"
	if k.U != nil && k.Scatter != nil && *k.Scatter > 0 {
		ratio = fmt.Sprintf("%.2f", *k.U / *k.Scatter)
	}
	var methods []string
	for _, m := range []string{"percentile", "guarded", "reflected", "constant"} {
		if n := k.Methods[m]; n > 0 {
			methods = append(methods, fmt.Sprintf("%s %.0f %%", m, 100*float64(n)/float64(k.Intervals)))
		}
	}
	return fmt.Sprintf("| %s | %s | %d | %.1f ± %.1f | %s | %s | %s | %s | %d |", k.ID, world, k.Intervals, 100*share, 100*se,
		number(k.Bias), number(k.Scatter), ratio, strings.Join(methods, ", "), k.Runs+failed-k.Intervals)
}
