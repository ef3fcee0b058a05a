package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/hashicorp/go-hclog"
	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/operator"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/player"
	"candelua/engine/procedure"
	"candelua/engine/screen"
	"candelua/engine/sim"
	"candelua/engine/spell"
)

// The names under which a run's head keeps the files that it was made with.
const (
	textBench     = "bench.toml"
	textBenchPath = "bench path" // of the file, as it was given
	textBuiltIn   = "bench"      // the name of a built-in bench
	textWorld     = "world.toml"
	textUnit      = "unit.toml"
	textUnitPath  = "unit path"
)

// hands are what a person at the bench may do without being asked, and the
// console that speaks to that person.
type hands struct {
	yes    bool
	accept bool
	speed  float64
	// attended is how long nobody need be heard; 0: nobody is asked. The text is as it was given.
	attended     time.Duration
	attendedText string
	console      operator.Console
	real         bool                                        // something on the bench is no simulation
	watch        string                                      // where the operator's view is served; empty for nowhere
	line         *statusLine                                 // left to the person if a person is an instrument
	take         bool                                        // the page that comes takes the place of another
	page         *screen.Source                              // of the unit's own screen, once a bench asks for it
	out          *plain.Screen                               // stderr, for what the page's driver says
	drivers      func(texts map[string]string) bench.Openers // of real instruments
}

// hands are those of a command.
func (a *app) hands() hands { return hands{line: a.line, out: a.line.screen, drivers: a.realDrivers} }

// logged takes what a driver's program logs.
func (a *app) logged(level, text string) {
	to := hclog.LevelFromString(level)
	if to == hclog.NoLevel {
		to = hclog.Info
	}
	a.log.Log(to, plain.Line(text))
}

func (h *hands) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&h.yes, "yes", false, "assume that confirmations and settings by hand are\ndone; the journal marks them as assumed; cautions\nstill need --accept-cautions")
	cmd.Flags().StringVar(&h.attendedText, "attended", "", "pause the run where nobody types anything for `TIME`,\nsuch as 10m; you are asked after half of it, and any\nline answers")
	cmd.Flags().StringVar(&h.watch, "watch", "", "show the run on a page, for a tablet at the bench:\n`ADDRESS` is HOST:PORT, such as 127.0.0.1:8380 for this\nmachine, or :8380 for its whole network; the terminal\nsays what to open")
	cmd.Flags().Float64Var(&h.speed, "speed", 0, "pace a simulated bench: simulated `SECONDS` per real\nsecond (default 0: as fast as possible)")
	h.takeFlag(cmd)
}

// takeFlag is of the commands that open a bench.
func (h *hands) takeFlag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&h.take, "take", false, "with the driver screen: use the page that was opened\nlast, in place of one that is in use")
}

func (h *hands) check(cmd *cobra.Command) error {
	if !(h.speed >= 0) || h.speed > 1e9 {
		return wrongFlag(cmd, "--speed is %v; it must be 0 to 1e9 simulated seconds per real second", h.speed)
	}
	return h.checkAttended(cmd)
}

// worldOf reads a simulated world: a shipped one by its name, or a file.
func worldOf(name string) (sim.Params, error) {
	if !procedure.IsPath(name) {
		w, err := sim.Load(name)
		if own := procedure.Beside(name, ".toml"); err != nil && own != "" {
			err = &fault.UsageError{Err: err, Tip: "did you mean " + own + "?"}
		}
		return w, err
	}
	src, err := procedure.ReadText(name)
	if err != nil {
		return sim.Params{}, fmt.Errorf("world: %w", err)
	}
	return sim.Parse(name, src)
}

// benchFrom makes the bench and its openers from the texts that a run keeps,
// for a first run and a resumed one alike.
func (h *hands) benchFrom(texts map[string]string, seed uint64, mode string) (*bench.File, bench.Openers, error) {
	file, openers, err := h.undescribed(texts, seed, mode)
	text, described := texts[textUnit]
	if err != nil || !described {
		return file, openers, err
	}
	unit, err := bench.ParseUnit(texts[textUnitPath], []byte(text))
	if err != nil {
		return nil, nil, err
	}
	return file.WithUnit(unit), openers, nil
}

// undescribed is the bench without what is known of the unit.
func (h *hands) undescribed(texts map[string]string, seed uint64, mode string) (*bench.File, bench.Openers, error) {
	asked := operator.Options{AssumeYes: h.yes, Asking: h.line.follower.Asked}
	openers := bench.Openers{
		"operator":  operator.New(h.console, asked),
		player.Name: player.Opener(operator.NewHelper(h.console, asked)),
		screen.Name: h.openPage,
		"sim":       func() (bench.Driver, error) { return nil, errors.New("the run was recorded without a simulated world") },
	}
	if text, ok := texts[textWorld]; ok {
		world, err := sim.ParseKept(textWorld, []byte(text))
		if err != nil {
			return nil, nil, err
		}
		if err := checkMode(world, mode); err != nil {
			return nil, nil, err
		}
		if mode != "" {
			world.Mode = mode
		}
		openers["sim"] = sim.Opener(world, seed, h.speed)
	}
	if h.drivers != nil {
		maps.Copy(openers, h.drivers(texts))
	}
	switch texts[textBuiltIn] {
	case "sim":
		return bench.SimFile, openers, nil
	case "operator":
		h.real = true
		h.line.forHands()
		return bench.OperatorFile, openers, nil
	}
	file, err := bench.ParseFile(texts[textBenchPath], []byte(texts[textBench]))
	if err != nil {
		return nil, nil, err
	}
	h.real = slices.ContainsFunc(file.Drivers(), func(driver string) bool { return driver != "sim" })
	if slices.ContainsFunc(file.Drivers(), func(driver string) bool { return driver == bench.OperatorDriver || driver == player.Name }) {
		h.line.forHands()
	}
	return file.WithHands(bench.KindUnit, bench.KindOperator), openers, nil
}

// checkMode refuses a mode that the simulated unit does not have.
func checkMode(world sim.Params, mode string) error {
	var names []string
	for _, m := range world.Modes {
		names = append(names, m.Name)
	}
	switch {
	case mode == "" || slices.Contains(names, mode):
		return nil
	case len(names) == 0:
		return &flagError{fmt.Errorf("--mode is %q, and the simulated unit has no modes", mode), "leave out --mode"}
	}
	tip := "candelua world shows the simulated unit and its modes"
	if near := spell.Nearest(mode, names); near != "" {
		tip = fmt.Sprintf("did you mean %q? (%s)", near, tip)
	}
	return &flagError{fmt.Errorf("--mode is %q; the simulated unit has the modes %s", mode, strings.Join(names, ", ")), tip}
}

// builtInBenches are the benches without a file.
var builtInBenches = []string{"sim", "operator"}

// benchTexts reads what --bench and --world name.
func (a *app) benchTexts(cmd *cobra.Command, benchName, worldName string) (map[string]string, error) {
	texts := map[string]string{}
	simulated := false
	switch benchName {
	case "sim", "operator":
		texts[textBuiltIn] = benchName
		simulated = benchName == "sim"
	default:
		if !procedure.IsPath(benchName) {
			return nil, wrongPath(cmd, benchName, builtInBenches, ".toml", "--bench is %q; it must be sim, operator, or the path of a bench file, which contains a / or ends in .toml", benchName)
		}
		all, file, err := a.fileTexts(cmd, benchName)
		if err != nil {
			return nil, err
		}
		texts, simulated = all, slices.Contains(file.Drivers(), "sim")
	}
	if !simulated {
		if worldName != "" {
			return nil, &flagError{errors.New("--world is given, but nothing on the bench is simulated"), "leave out --world, or use --bench sim"}
		}
		return texts, nil
	}
	if worldName == "" {
		worldName = "default"
	}
	world, err := worldOf(worldName)
	if err != nil {
		return nil, &fault.UsageError{Err: err}
	}
	var text strings.Builder
	if err := sim.Print(&text, world); err != nil {
		return nil, err
	}
	texts[textWorld] = text.String()
	return texts, nil
}

// fileTexts reads a bench file with the corrections and drivers that it names.
func (a *app) fileTexts(cmd *cobra.Command, path string) (texts map[string]string, file *bench.File, err error) {
	src, err := procedure.ReadText(path)
	if err != nil {
		return nil, nil, &fault.UsageError{Err: fmt.Errorf("the bench file cannot be read: %w", err)}
	}
	if file, err = bench.ParseFile(path, src); err != nil {
		return nil, nil, &fault.UsageError{Err: err}
	}
	texts = map[string]string{textBench: string(src), textBenchPath: path}
	if err := correctionTexts(file, texts); err != nil {
		return nil, nil, err
	}
	return texts, file, a.driverTexts(cmd.Context(), file, texts)
}

// engineSetup is what every execution has in common.
func (a *app) engineSetup(cmd *cobra.Command, h *hands) engine.Setup {
	errOut := cmd.ErrOrStderr()
	follower := a.line.follower
	follower.Paced(h.speed)
	foreseen := follower.Foreseen
	if !a.line.terminal && h.watch == "" { // nobody looks
		foreseen = nil
	}
	return engine.Setup{
		Version: version,
		Modules: builtins.Modules(),
		Print: func(text string) {
			for line := range strings.Lines(text) {
				a.log.Info("the script says: " + strings.TrimSuffix(line, "\n"))
			}
		},
		Warn: a.warn,
		Accept: func(ctx context.Context, all []caution.Caution, _ bool) error {
			return h.acceptCautions(ctx, errOut, isTerminalInput(cmd), all)
		},
		Opened: func(folder string) {
			a.folder.Store(&folder)
			follower.Opened(folder, resumeCommand(folder))
		},
		Tell:     a.tell,
		Foreseen: foreseen,
		Drawing: func(made, of int) {
			a.drawing.Store(true)
			follower.Drawing(made, of)
			a.line.drawing(made, of)
		},
	}
}

// tell says what goes on: on a terminal in a line that is written over, and as debug messages.
func (a *app) tell(e play.Event) {
	a.line.follower.Tell(e)
	p, begins := e.(play.Progress)
	if !begins {
		return
	}
	if a.log.IsDebug() {
		a.log.Debug("step", "number", p.Step, "line", p.At, "at", clockText(p.Now), "asks", plain.Line(p.Show()))
	}
	a.line.show(p)
}

// warn says what should be known, at the terminal and in the operator's view.
func (a *app) warn(text string) {
	a.log.Warn(plain.Line(text))
	a.line.follower.Warned(text)
}

// errNobodyWaits is a run that is over sooner than a rehearsal of it would be.
var errNobodyWaits = errors.New("the bench is as fast as possible, so nobody asks how long the run takes")

// rehearsal is the bench on which a run is rehearsed, with which random numbers.
func (h *hands) rehearsal(seed uint64) engine.Rehearsal {
	return func() (*bench.File, bench.Openers, error) {
		if !h.real && h.speed == 0 {
			return nil, nil, errNobodyWaits
		}
		return bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), seed, 0)}, nil
	}
}

// showCautions shows them in order.
func showCautions(w io.Writer, all []caution.Caution) {
	for _, c := range all {
		showCaution(w, c.Text)
	}
}

func showCaution(w io.Writer, what string) {
	const indent = "         "
	var text strings.Builder
	paragraph(&text, indent, indent, what)
	plain.On(w).Own("CAUTION: ")
	fmt.Fprint(w, strings.TrimPrefix(text.String(), indent))
}

// saysYes asks, waits for a line, and says whether it is yes. One that was typed as the command began counts too.
func (h *hands) saysYes(ctx context.Context, ask string) bool {
	h.console.Say(ask)
	h.line.follower.Asked(ask)
	defer h.line.follower.Asked("")
	line, err := h.console.ReadLine(ctx)
	return (err == nil || errors.Is(err, operator.ErrEarly)) && strings.EqualFold(line, "yes")
}

// acceptCautions shows cautions. Where the bench has a real instrument, even beside simulated ones, somebody must accept those
// that are about people. A simulated bench has no hazards, and shows only what the procedure itself says.
func (h *hands) acceptCautions(ctx context.Context, w io.Writer, asked bool, all []caution.Caution) error {
	if !h.real {
		showCautions(w, slices.DeleteFunc(slices.Clone(all), func(c caution.Caution) bool {
			return c.Kind != caution.Own && c.Kind != caution.Flashing
		}))
		return nil
	}
	showCautions(w, all)
	if h.accept || !slices.ContainsFunc(all, func(c caution.Caution) bool { return c.Accepted }) {
		return nil
	}
	if asked {
		if h.saysYes(ctx, "Type yes to accept and begin. Anything else ends the command.") {
			return nil
		}
	}
	return &fault.UsageError{Err: errors.New("the cautions were not accepted; nothing was done"), Tip: "read the cautions; to accept them, give --accept-cautions, or run the command at a terminal and type yes"}
}
