package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/operator"
	"candelua/engine/sim"
)

// The names under which a run's head keeps the files that it was made with.
const (
	textBench     = "bench.toml"
	textBuiltIn   = "bench" // the name of a built-in bench
	textWorld     = "world.toml"
	textWorldName = "world"
)

// hands are what a person at the bench may do without being asked, and the
// console that speaks to that person.
type hands struct {
	yes     bool
	accept  bool
	speed   float64
	console operator.Console
}

func (h *hands) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&h.yes, "yes", false, "answer confirmations with yes; the record says that it was assumed")
	cmd.Flags().Float64Var(&h.speed, "speed", 0, "pace a simulated bench: so many simulated seconds a second; 0: as fast as it can")
}

func (h *hands) check() error {
	if !(h.speed >= 0) || h.speed > 1e9 {
		return &flagError{fmt.Errorf("--speed is %v, want 0 or more simulated seconds a second", h.speed)}
	}
	return nil
}

// benchFrom makes the bench and its openers from the texts that a run keeps,
// for a first run and a resumed one alike.
func (h *hands) benchFrom(texts map[string]string, seed uint64) (*bench.File, bench.Openers, error) {
	openers := bench.Openers{"operator": operator.New(h.console, operator.Options{AssumeYes: h.yes})}
	if text, ok := texts[textWorld]; ok {
		world, err := sim.Parse(textWorld, []byte(text))
		if err != nil {
			return nil, nil, err
		}
		openers["sim"] = sim.Opener(world, seed, h.speed)
	}
	switch texts[textBuiltIn] {
	case "sim":
		return bench.SimFile, openers, nil
	case "operator":
		return bench.OperatorFile, openers, nil
	}
	file, err := bench.ParseFile(textBench, []byte(texts[textBench]))
	if err != nil {
		return nil, nil, err
	}
	return file.WithHands(bench.KindUnit, bench.KindOperator), openers, nil
}

// benchTexts reads what --bench and --world name.
func benchTexts(benchName, worldName string) (map[string]string, error) {
	texts := map[string]string{}
	simulated := false
	switch benchName {
	case "sim", "operator":
		texts[textBuiltIn] = benchName
		simulated = benchName == "sim"
	default:
		if !engine.IsPath(benchName) {
			return nil, &flagError{fmt.Errorf("--bench is %q, want sim, operator, or a file that ends in .toml", benchName)}
		}
		src, err := os.ReadFile(benchName)
		if err != nil {
			return nil, &engine.UsageError{Err: fmt.Errorf("the bench file cannot be read: %w", err)}
		}
		file, err := bench.ParseFile(benchName, src)
		if err != nil {
			return nil, &engine.UsageError{Err: err}
		}
		texts[textBench] = string(src)
		for _, d := range file.Drivers() {
			simulated = simulated || d == "sim"
		}
	}
	if !simulated {
		if worldName != "" {
			return nil, &flagError{errors.New("--world is given, but nothing on the bench is simulated")}
		}
		return texts, nil
	}
	if worldName == "" {
		worldName = "default"
	}
	world, err := sim.Load(worldName)
	if err != nil {
		return nil, &engine.UsageError{Err: err}
	}
	var text strings.Builder
	if err := sim.Print(&text, world); err != nil {
		return nil, err
	}
	texts[textWorld] = text.String()
	return texts, nil
}

// engineSetup is what every execution has in common.
func (a *app) engineSetup(cmd *cobra.Command, h *hands) engine.Setup {
	errOut := cmd.ErrOrStderr()
	return engine.Setup{
		Version: version,
		Modules: builtins.Modules(),
		Print:   func(text string) { a.log.Info("the script says: " + text) },
		Warn:    func(text string) { a.log.Warn(text) },
		Accept: func(ctx context.Context, caution string, simulated bool) error {
			return h.acceptCaution(ctx, errOut, caution, simulated)
		},
		Progress: a.progress(errOut),
	}
}

// acceptCaution shows a caution; on a real bench somebody must accept it.
func (h *hands) acceptCaution(ctx context.Context, w io.Writer, caution string, simulated bool) error {
	fmt.Fprintf(w, "CAUTION: %s\n", caution)
	if simulated || h.accept {
		return nil
	}
	if isTerminal(os.Stdin) {
		h.console.Say("Type yes to accept this and begin.")
		line, err := h.console.ReadLine(ctx)
		if err != nil {
			return err
		}
		if strings.EqualFold(strings.TrimSpace(line), "yes") {
			return nil
		}
	}
	return &engine.UsageError{Err: errors.New("the caution was not accepted; nothing was run"), Tip: "once it is understood: --accept-cautions"}
}

func isTerminal(f *os.File) bool {
	return isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())
}
