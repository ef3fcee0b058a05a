package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"candelua/engine/fault"
	"candelua/engine/plain"
)

//go:embed pages/new-bench.toml
var newBench string

//go:embed pages/new-driver.lua
var newDriver string

// newKinds are the kinds of file that candelua new writes.
var newKinds = []struct{ name, ending, text, next string }{
	{"bench", ".toml", newBench, "candelua bench check %s"},
	{"driver", ".lua", newDriver, "name %s in a bench file, and look at it with candelua bench check"},
}

func kindNames() (names []string) {
	for _, k := range newKinds {
		names = append(names, k.name)
	}
	return names
}

func (a *app) newCommand() *cobra.Command {
	var kind string
	cmd := &cobra.Command{
		Use:     "new NAME --kind KIND",
		Short:   "write a file to begin with",
		Long:    "Write a file with comments to begin with, in the current folder or at a path. A file\nthat is there already stays as it is.",
		Example: "  candelua new tern-street --kind bench\n  candelua new dunlin --kind driver",
		Args:    arguments(cobra.ExactArgs(1), "one NAME"),
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, k := range newKinds {
				if k.name == kind {
					return writeNew(cmd, args[0], k.ending, k.text, k.next)
				}
			}
			return wrongWord(cmd, kind, kindNames(), "--kind is %q; it must be one of: %s", kind, strings.Join(kindNames(), ", "))
		},
	}
	cmd.Flags().StringVar(&kind, "kind", "", "`KIND` of file: "+strings.Join(kindNames(), ", "))
	complete(cmd.Flags(), cmd, "kind", kindNames()...)
	return cmd
}

func writeNew(cmd *cobra.Command, path, ending, text, next string) error {
	path = strings.TrimSuffix(path, ending) + ending
	name := strings.TrimSuffix(filepath.Base(path), ending)
	if strings.ContainsAny(name, "\"\\\n\r") || name == "" || plain.Line(name) != name {
		return &flagError{fmt.Errorf("NAME is %q; it must be the name of a file, without quotes and control characters", name), "as in candelua new tern-street --kind bench"}
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return &fault.UsageError{Err: fmt.Errorf("the file %s is there already", path), Tip: "choose another name, or move the file away"}
	}
	if err != nil {
		return &fault.UsageError{Err: fmt.Errorf("the file cannot be written: %w", err)}
	}
	_, err = f.WriteString(strings.ReplaceAll(text, "NAME", name))
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(fmt.Errorf("the file cannot be written: %w", err), os.Remove(path))
	}
	if !strings.ContainsRune(path, '/') {
		path = "./" + path
	}
	fmt.Fprintf(cmd.OutOrStdout(), "wrote %s; next: "+next+"\n", path, plain.Word(path))
	return nil
}
