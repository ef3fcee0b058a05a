package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/driver/ports"
	"candelua/engine/inspect"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/scripts"
)

func (a *app) benchCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "bench",
		Short:   "look at the instruments of a bench, and at what is connected",
		Example: "  candelua bench check ./my-bench.toml\n  candelua bench ports",
		Args:    knownCommand,
		RunE:    func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.benchCheckCommand(), benchPortsCommand())
	return cmd
}

func (a *app) benchCheckCommand() *cobra.Command {
	var asJSON bool
	var times int
	cmd := &cobra.Command{
		Use:   "check FILE",
		Short: "open each instrument of a bench, and say what it can do",
		Long: `Open each instrument that a bench file names. Say who is there, how a meter reads
the light that is before it now, and which of the procedures the bench is enough
for. Nothing is shown, set or recorded.`,
		Example: "  candelua bench check ./my-bench.toml\n  candelua bench check ./my-bench.toml --readings 30",
		Args:    arguments(cobra.ExactArgs(1), "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if times < 1 || times > 1000 {
				return wrongFlag(cmd, "--readings is %d; it must be 1 to 1000", times)
			}
			return a.checkBench(cmd, args[0], times, asJSON)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	cmd.Flags().IntVar(&times, "readings", 10, "read each meter `TIMES`")
	return cmd
}

// benchReport is what --json prints.
type benchReport struct {
	Bench      string           `json:"bench"`
	Simulated  bool             `json:"simulated"`
	Devices    []inspect.Device `json:"devices"`
	Procedures []inspect.Met    `json:"procedures"`
	Error      *errorJSON       `json:"error,omitempty"` // of a device that cannot be read
}

func (a *app) checkBench(cmd *cobra.Command, name string, times int, asJSON bool) (err error) {
	ctx := cmd.Context()
	texts, err := a.benchTexts(cmd, name, "")
	if err != nil {
		return err
	}
	h := a.hands()
	file, openers, err := h.undescribed(texts, 1, "")
	if err != nil {
		return err
	}
	defer h.closePage()
	b, err := play.OpenBench(ctx, file, openers)
	if err != nil {
		return err
	}
	defer func() {
		if failed := b.Close(); err == nil {
			err = failed
		}
	}()
	devices, err := inspect.Devices(ctx, b, times, func(place string, n int) {
		a.log.Debug("read", "device", place, "reading", n, "of", times)
	})
	if err != nil {
		return err
	}
	wanted, err := wantedProcedures(ctx)
	if err != nil {
		return err
	}
	report := benchReport{Bench: b.Name, Simulated: b.Simulated, Devices: devices, Procedures: inspect.Meets(b, wanted)}
	failed := firstFailed(devices)
	if !asJSON {
		if err := report.print(cmd.OutOrStdout()); err != nil {
			return err
		}
		return failed
	}
	report.Error = errorOf(failed)
	if err := encode(cmd.OutOrStdout(), report); err != nil || failed == nil {
		return err
	}
	explain(a.line.screen, failed) // and no second object
	return &exitError{statusOf(failed), failed}
}

// firstFailed is why the first device that cannot be read cannot; nil where all can.
func firstFailed(devices []inspect.Device) error {
	for _, d := range devices {
		if d.Failed != nil {
			return fmt.Errorf("the %s cannot be read: %w", d.Place, d.Failed)
		}
	}
	return nil
}

// wantedProcedures are the shipped procedures and what they need.
func wantedProcedures(ctx context.Context) (all []inspect.Wanted, err error) {
	for _, name := range procedure.Shipped(scripts.Files) {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			return nil, err
		}
		loaded, err := procedure.Load(ctx, p, builtins.Modules())
		if err != nil {
			return nil, err
		}
		all = append(all, inspect.Wanted{Name: name, Needs: loaded.Contract.Needed})
	}
	return all, nil
}

func (r benchReport) print(w io.Writer) error {
	var rows [][]string
	for _, d := range r.Devices {
		who := d.Identity.Called()
		if !d.Identity.ByHand && !d.Identity.Simulated {
			who += ", driver " + d.Identity.Driver
		}
		rows = append(rows, []string{d.Place, who})
		for _, can := range d.Abilities {
			rows = append(rows, []string{"", can})
		}
		rows = append(rows, readingRows(d)...)
	}
	if err := writeRows(w, rows); err != nil {
		return err
	}
	fmt.Fprintln(w)
	rows = nil
	for _, m := range r.Procedures {
		says := "can be run"
		if len(m.Lacks) > 0 {
			says = "lacks " + strings.Join(m.Lacks, "; ")
		}
		rows = append(rows, []string{m.Procedure, says})
	}
	return writeRows(w, rows)
}

func readingRows(d inspect.Device) (rows [][]string) {
	if r := d.Readings; r != nil {
		rows = append(rows, []string{"", fmt.Sprintf("%s: %s", count(r.Count, "reading"), r.Line())})
		if r.Again > 0 {
			rows = append(rows, []string{"", "tried again: " + count(r.Again, "time")})
		}
		for _, f := range r.Flags {
			rows = append(rows, []string{"", "flag: " + string(f)})
		}
	}
	if d.Lux != nil {
		rows = append(rows, []string{"", fmt.Sprintf("reads %.4g lx at the screen", *d.Lux)})
	}
	if d.Failed != nil {
		rows = append(rows, []string{"", "cannot be read: " + d.Failed.Error()})
	}
	return rows
}

func benchPortsCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "ports",
		Short: "list the serial ports and USB instruments that are connected",
		Long: `List the serial ports and USB test instruments (USBTMC) that are connected, as
lines for a bench file. Names below /dev/serial/by-id stay the same
however an instrument is plugged in, so they come first.`,
		Example: "  candelua bench ports",
		Args:    arguments(cobra.NoArgs, "no arguments"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if runtime.GOOS != "linux" {
				return bench.Errorf(bench.CodeUnsupported, "look in the system's own list of devices, and name the port in the bench file", "ports can be listed on Linux only")
			}
			all := ports.List("/")
			if asJSON {
				return encode(cmd.OutOrStdout(), map[string]any{"ports": all})
			}
			if len(all) == 0 {
				fmt.Fprintln(cmd.OutOrStdout(), "no serial port and no USB instrument is connected")
				return nil
			}
			var rows [][]string
			for _, p := range all {
				about := strings.Join(strings.Fields(p.Maker+" "+p.Name+" "+p.Serial), " ")
				if p.USB != "" {
					about += " (USB " + p.USB + ")"
				}
				rows = append(rows, []string{fmt.Sprintf("link = %q", p.Link), strings.TrimSpace(about)})
			}
			return writeRows(cmd.OutOrStdout(), rows)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}
