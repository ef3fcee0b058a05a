package main

import (
	"fmt"
	"slices"
	"strings"
	"sync/atomic"

	"github.com/hashicorp/go-hclog"
	"github.com/spf13/cobra"

	"candelua/engine/driver/child"
	"candelua/engine/plain"
)

// app is what the commands share.
type app struct {
	logLevel string
	log      hclog.Logger
	line     *statusLine
	folder   atomic.Pointer[string] // of the run, once it is there
	drawing  atomic.Bool            // all is measured, and the uncertainties are being drawn
	programs child.Keeper           // those that drivers started
}

var logLevels = []string{"trace", "debug", "info", "warn", "error", "off"}

// root makes the command with all that is below it.
func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "candelua",
		Short: "run measurement procedures for displays, the same way every time",
		Long: `candelua runs measurement procedures for displays. A procedure is a Lua script
that says what it needs, how the unit must be set, and what can be chosen. Every
step is recorded. So a run can be resumed after an interruption, and its results
can be computed again from the record.

` + statusHelp,
		Example: `  candelua procedures
  candelua describe window-sweep
  candelua run window-sweep
  candelua run tone-response --set target=srgb --bench operator
  candelua runs
  candelua resume runs/window-sweep-1
  candelua replay runs/window-sweep-1`,
		SilenceErrors:      true,
		SilenceUsage:       true,
		DisableSuggestions: true,
		CompletionOptions:  cobra.CompletionOptions{DisableDefaultCmd: true},
		Version:            version,
		Args:               knownCommand,
		RunE:               func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		PersistentPreRunE:  a.openLog,
	}
	root.SetVersionTemplate(versionText() + "\n")
	root.SetUsageTemplate(usageTemplate)
	root.PersistentFlags().StringVar(&a.logLevel, "log-level", "info", "set how much is logged on stderr: `LEVEL` is trace,\ndebug, info, warn, error or off")
	root.SetFlagErrorFunc(flagMistake)
	root.AddCommand(a.runCommand(), a.resumeCommand(), a.replayCommand(), a.runsCommand(), a.repairCommand(), a.proceduresCommand(), a.describeCommand(),
		a.apiCommand(), a.benchCommand(), a.patchesCommand(), a.newCommand(), a.worldCommand(), a.trialCommand(), a.checkCommand(), a.rehearseCommand(), completionCommand(), a.noticesCommand(), a.versionCommand())
	root.SetHelpCommand(helpCommand())
	complete(root.PersistentFlags(), root, "log-level", logLevels...)
	takeOnce(root)
	return root
}

func (a *app) openLog(cmd *cobra.Command, args []string) error {
	if err := noEmptyArgument(cmd, args); err != nil {
		return err
	}
	level := hclog.LevelFromString(a.logLevel)
	if level == hclog.NoLevel {
		return wrongWord(cmd, a.logLevel, logLevels, "--log-level is %q; it must be trace, debug, info, warn, error or off", a.logLevel)
	}
	a.log = hclog.New(&hclog.LoggerOptions{Name: "candelua", Level: level, Output: plain.On(cmd.ErrOrStderr()).Log(), DisableTime: true})
	return nil
}

func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "show help for a command",
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return knownCommand(cmd.Root(), []string{strings.Join(args, " ")})
			}
			about.InitDefaultHelpFlag()
			about.InitDefaultVersionFlag()
			return about.Help()
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) (names []string, _ cobra.ShellCompDirective) {
			for _, c := range cmd.Root().Commands() {
				if len(args) == 0 && c.IsAvailableCommand() {
					names = append(names, c.Name())
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

var shells = []string{"bash", "zsh", "fish"}

func completionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "print a script that makes a shell complete commands",
		Long: `Print a script for bash, zsh or fish. Once the shell has read it, the Tab key
completes commands, flags, procedures, worlds and names of functions.`,
		Example: `  source <(candelua completion bash)
  candelua completion zsh > "${fpath[1]}/_candelua"
  candelua completion fish > ~/.config/fish/completions/candelua.fish`,
		ValidArgs: shells,
		Args:      oneShell,
		RunE: func(cmd *cobra.Command, args []string) error {
			out := cmd.OutOrStdout()
			switch args[0] {
			case "bash":
				return cmd.Root().GenBashCompletionV2(out, true)
			case "zsh":
				return cmd.Root().GenZshCompletion(out)
			case "fish":
				return cmd.Root().GenFishCompletion(out, true)
			}
			return fmt.Errorf("there is no completion for %s", args[0])
		},
	}
}

// oneShell takes the name of a shell that can be helped.
func oneShell(cmd *cobra.Command, args []string) error {
	const wanted = "one SHELL, which is bash, zsh or fish"
	if len(args) == 1 && !slices.Contains(shells, args[0]) {
		return wrongWord(cmd, args[0], shells, "%s takes %s; given: %s", cmd.CommandPath(), wanted, args[0])
	}
	return arguments(cobra.ExactArgs(1), wanted)(cmd, args)
}

const usageTemplate = `Usage:
{{- if .HasAvailableSubCommands}}
  {{.CommandPath}} COMMAND [flags]
{{- else}}
  {{.UseLine}}
{{- end}}
{{- if .HasAvailableSubCommands}}

Commands:
{{- range .Commands}}{{if or .IsAvailableCommand (eq .Name "help")}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}
{{- end}}
{{- if .HasExample}}

Examples:
{{.Example}}
{{- end}}
{{- if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}
{{- end}}
{{- if .HasAvailableInheritedFlags}}

Flags of every command:
{{.InheritedFlags.FlagUsages | trimTrailingWhitespaces}}
{{- end}}
{{- if .HasAvailableSubCommands}}

{{.CommandPath}} COMMAND --help shows more about a command.
{{- end}}
`
