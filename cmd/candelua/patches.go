package main

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/operator"
	"candelua/engine/plain"
	"candelua/engine/player"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/scripts"
)

type patchesFlags struct {
	to, unit, size, bench, world string
	set                          []string
	seed                         uint64
	video, lossless, timed, json bool
	length, hold, field          int
}

func (a *app) patchesCommand() *cobra.Command {
	f := &patchesFlags{}
	cmd := &cobra.Command{
		Use:   "patches PROCEDURE --to FOLDER",
		Short: "write the patches of a procedure as files for a media player",
		Long: `Write all patches that a procedure will ask for as files, for a unit that is fed
by a media player. The patches are found by a rehearsal on a simulated bench.
Each picture is written once, at the unit's size, numbered in the order of first
use. index.html in the folder lists them, and so does index.csv for spreadsheets.

Give the run the same parameters, and a bench file that names the folder:

  [patches]
  driver = "files"
  [patches.options]
  folder = "chart-patches"

The run then says which file to show. The files are PNG stills: of 8 bits for SDR,
and of 16 bits for HDR (PQ and HLG), which many units show as SDR. Check on the
unit that HDR is shown as HDR, or write videos with --video. This needs ffmpeg.

With --timed there is one video of the whole procedure too. It begins with dark and
bright fields, by which the meter finds out when it was started. Write timed = true
below folder. Then start the run, and the video when you are asked to.

A procedure that chooses patches by its readings may ask for a patch that is not
in the folder. The run then says so.`,
		Example: `  candelua patches chart --to chart-patches --size 3840x2160
  candelua patches hdr-tracking --to hdr --unit ./crake-2.toml --set mastering_peak=1000
  candelua patches hdr-tracking --to hdr --size 3840x2160 --video
  candelua patches chart --to chart-patches --unit ./crake-2.toml --timed`,
		Args:              arguments(cobra.ExactArgs(1), "one PROCEDURE"),
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.patches(cmd, args[0], f)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.to, "to", "", "write the files into `FOLDER`: a new one, an empty one,\nor one that this command made, which is replaced")
	flags.StringVar(&f.size, "size", "", "size of the unit's screen in pixels: `WIDTHxHEIGHT`,\nsuch as 3840x2160; without it, as the unit file says")
	flags.StringVar(&f.unit, "unit", "", "describe the display under test: a unit `FILE`")
	flags.StringArrayVar(&f.set, "set", nil, "set a parameter: `NAME=VALUE`; a list is 1,2,5; give\n--set once for each parameter\n(see candelua describe PROCEDURE)")
	flags.StringVar(&f.bench, "bench", "", "rehearse with the devices that this bench `FILE` has,\nall of them simulated; without it, with all that\nthere are")
	flags.StringVar(&f.world, "world", "", "choose what the rehearsal simulates: `WORLD` is a name\nor a file (see candelua world)")
	flags.Uint64Var(&f.seed, "seed", 1, "choose the random numbers (shuffled orders) by `NUMBER`;\ngive the run the same")
	flags.BoolVar(&f.video, "video", false, "write videos that televisions play: HEVC, 10 bits, 4:2:0,\nlimited range; needs ffmpeg")
	flags.BoolVar(&f.lossless, "lossless", false, "write videos of exact red, green and blue: HEVC, 4:4:4,\nfull range, which computers play; needs ffmpeg")
	flags.IntVar(&f.length, "length", player.DefaultLength, "length of each video in `SECONDS`: longer than a reading\ntakes, because a player may show a menu at its end")
	flags.BoolVar(&f.timed, "timed", false, "write one video of the whole procedure too, which the\nmeter follows, so that nobody need press anything")
	flags.IntVar(&f.hold, "hold", 0, "with --timed: how long each patch stays, in `SECONDS`;\nwithout it, half as long again as in the rehearsal,\nand a few seconds more")
	flags.IntVar(&f.field, "field", 2, "with --timed: shortest field of the start pattern, in\n`SECONDS`, 2 to 120: longer than one and a half readings\nof the meter")
	flags.BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	complete(flags, cmd, "world", sim.Names()...)
	if err := cmd.MarkFlagDirname("to"); err != nil {
		panic(err)
	}
	return cmd
}

func (a *app) patches(cmd *cobra.Command, name string, f *patchesFlags) error {
	rehearsal, err := a.patchesRehearsal(cmd, f)
	if err != nil {
		return err
	}
	layout, unit, err := f.layout(cmd)
	if err != nil {
		return err
	}
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		return err
	}
	spec := engine.Spec{Setup: engine.Setup{Version: version, Modules: builtins.Modules()}, Procedure: p, Set: f.set, Unit: unit, Seed: f.seed, Rehearsal: rehearsal}
	shows, err := engine.Showings(cmd.Context(), spec)
	if err != nil {
		return notAProcedure(p, err)
	}
	asked := make([]player.Asked, len(shows.Patches))
	for i, s := range shows.Patches {
		asked[i] = player.Asked{Patch: s.Patch, Stays: s.Stays, Resumed: s.Resumed, Timed: s.Timed}
	}
	plan, err := player.NewPlan(layout, asked, operator.Describe)
	if err != nil {
		return fault.Usage(err)
	}
	about := player.About{Procedure: p.Name, Title: shows.Title, Params: shows.Params}
	if unit.Named() {
		about.Unit = unit.Name
	}
	making := player.Making{Plan: plan, Version: version, Progress: a.patchesProgress(), About: about, Length: f.length}
	if f.timed {
		making.Timed = &player.TimedOptions{Hold: f.hold, Field: f.field}
	}
	in, err := player.Write(cmd.Context(), f.to, making)
	a.clearTrialProgress()
	if err != nil {
		return err
	}
	return printPatches(cmd, in, f)
}

// layout reads the size and the form of the files.
func (f *patchesFlags) layout(cmd *cobra.Command) (l player.Layout, unit *bench.UnitFile, err error) {
	switch {
	case f.to == "":
		return l, nil, &flagError{errors.New("--to is missing; it must name the folder for the files"), "as in: " + cmd.CommandPath() + " chart --to chart-patches --size 3840x2160"}
	case f.video && f.lossless:
		return l, nil, wrongFlag(cmd, "--video and --lossless are given; give one of them")
	case f.length < 1 || f.length > 86400:
		return l, nil, wrongFlag(cmd, "--length is %d; it must be 1 to 86400 seconds", f.length)
	case f.hold < 0 || f.hold > 3600 || cmd.Flags().Changed("hold") && f.hold < 3:
		return l, nil, wrongFlag(cmd, "--hold is %d; it must be 3 to 3600 seconds", f.hold)
	case f.field < 2 || f.field > 120:
		return l, nil, wrongFlag(cmd, "--field is %d; it must be 2 to 120 seconds", f.field)
	case !f.timed && (cmd.Flags().Changed("hold") || cmd.Flags().Changed("field")):
		return l, nil, &flagError{errors.New("--hold and --field are for a video of the whole procedure"), "give --timed too, or leave them out"}
	case cmd.Flags().Changed("length") && !f.video && !f.lossless && !f.timed:
		return l, nil, &flagError{errors.New("--length is given, and stills have none"), "give --video, --lossless or --timed too, or leave out --length"}
	}
	if unit, err = unitFrom(cmd, f.unit, map[string]string{}); err != nil {
		return l, nil, err
	}
	l.Form = player.Stills
	if f.video || f.timed {
		l.Form = player.Video
	}
	if f.lossless {
		l.Form = player.Lossless
	}
	l.Width, l.Height = unit.Pixels()
	l.Avoid = unit.Zones()
	if f.size != "" {
		if l.Width, l.Height, err = readSize(cmd, f.size); err != nil {
			return l, nil, err
		}
	}
	if width, height := unit.Pixels(); len(unit.Zones()) > 0 && l.Width*height != l.Height*width {
		return l, nil, &flagError{fmt.Errorf("--size is %s, and the unit file has parts to avoid on a screen of %d x %d pixels", f.size, width, height), "leave out --size, or give a size of the same shape"}
	}
	l.Avoid = unit.Zones()
	if l.Width == 0 || l.Height == 0 {
		return l, nil, &flagError{errors.New("the size of the screen is not known"), "give it in pixels, as in --size 3840x2160, or name a unit file that has screen = { width = 3840, height = 2160 }"}
	}
	return l, unit, nil
}

var sizeText = regexp.MustCompile(`^([0-9]{1,5})[xX×]([0-9]{1,5})$`)

func readSize(cmd *cobra.Command, text string) (width, height int, err error) {
	m := sizeText.FindStringSubmatch(text)
	if m == nil {
		return 0, 0, wrongFlag(cmd, "--size is %q; it must be the width and the height in pixels, such as 3840x2160", text)
	}
	width, _ = strconv.Atoi(m[1])
	height, _ = strconv.Atoi(m[2])
	if width < 1 || height < 1 {
		return 0, 0, wrongFlag(cmd, "--size is %q; each side must be 1 pixel or more", text)
	}
	return width, height, nil
}

// patchesRehearsal makes the simulated bench: with all devices, or with those that a bench file has.
func (a *app) patchesRehearsal(cmd *cobra.Command, f *patchesFlags) (func() (*bench.File, bench.Openers, error), error) {
	world, file := sim.Default(), bench.SimFile
	if f.world != "" {
		w, err := worldOf(f.world)
		if err != nil {
			return nil, &fault.UsageError{Err: err}
		}
		world = w
	}
	if f.bench != "" {
		texts, err := a.benchTexts(cmd, f.bench, "")
		if err != nil {
			return nil, err
		}
		if texts[textBench] != "" {
			if file, err = simulatedAs(texts[textBenchPath], texts[textBench]); err != nil {
				return nil, err
			}
		}
	}
	return func() (*bench.File, bench.Openers, error) {
		return file, bench.Openers{"sim": sim.Opener(world, f.seed, 0)}, nil
	}, nil
}

// simulatedAs is a bench with the places of another, and the person and the unit that each bench has, all of them simulated.
func simulatedAs(path, text string) (*bench.File, error) {
	real, err := bench.ParseFile(path, []byte(text))
	if err != nil {
		return nil, err
	}
	var b strings.Builder
	for _, k := range real.WithHands(bench.KindUnit, bench.KindOperator, bench.KindPatches).Kinds() {
		fmt.Fprintf(&b, "[%s]\ndriver = \"sim\"\n", k)
	}
	return bench.ParseFile(path, []byte(b.String()))
}

// patchesProgress shows on a terminal which file is being written.
func (a *app) patchesProgress() func(done, of int, what string) {
	if !a.line.terminal {
		return nil
	}
	var last time.Time
	return func(done, of int, what string) {
		if time.Since(last) >= redrawEvery {
			last = time.Now()
			a.line.write(fmt.Sprintf("%d of %s: %s", done, count(of, "file"), plain.Line(what)))
		}
	}
}

func printPatches(cmd *cobra.Command, in *player.Index, f *patchesFlags) error {
	if f.json {
		return encode(cmd.OutOrStdout(), map[string]any{"folder": f.to, "asked": in.Asked(), "bytes": in.Bytes(), "index": in})
	}
	_, err := fmt.Fprintf(cmd.OutOrStdout(), "wrote %s for %s of one run into %s (%.1f MB); next: look at %s, and copy the folder to the player\n",
		count(len(in.Patches), "file"), patchesOf(in.Asked()), plain.Word(f.to), float64(in.Bytes())/1e6, plain.Word(in.Page()))
	return err
}

func patchesOf(n int) string {
	if n == 1 {
		return "1 patch"
	}
	return fmt.Sprintf("%d patches", n)
}
