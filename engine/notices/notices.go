// Package notices has the licences of what a binary of candelua contains: the Go
// modules that are linked, on any of the systems it is built for, the Go library
// itself, and tables of numbers that were transcribed from a package.
//
// The texts are part of the binary, so that it can print them wherever it is. The
// folder texts has those of the modules, each under the module's path, as the module
// ships them; the test compares, and writes them anew with -update. The list of
// tables is kept by hand (tables.go).
package notices

import (
	"bufio"
	"embed"
	"fmt"
	"io"
	"io/fs"
	"path"
	"runtime/debug"
	"slices"
	"strings"
)

//go:embed texts data
var files embed.FS

// Module is a module of Go with the texts of its licence. The Go library has the
// path "std".
type Module struct {
	Path  string
	Texts []Text
}

// Text is one file of a licence, by its name in the module.
type Text struct{ Name, Text string }

// Modules returns all modules, sorted by path. A module that is linked on one system
// only is among them.
func Modules() []Module {
	texts := map[string][]Text{}
	err := fs.WalkDir(files, "texts", func(at string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		src, err := files.ReadFile(at)
		dir := strings.TrimPrefix(path.Dir(at), "texts/")
		module, folder, inFolder := strings.Cut(dir, "/"+thirdParty)
		name := path.Base(at)
		if inFolder {
			name = thirdParty + folder + "/" + name
		}
		texts[module] = append(texts[module], Text{name, string(src)})
		return err
	})
	if err != nil {
		panic(err) // the files are part of this program
	}
	var all []Module
	for module, t := range texts {
		all = append(all, Module{module, t})
	}
	slices.SortFunc(all, func(a, b Module) int { return strings.Compare(a.Path, b.Path) })
	return all
}

// thirdParty is the folder in which a module keeps the licences of what it contains.
const thirdParty = "THIRD_PARTY_LICENSES"

// Missing returns the modules of this binary that have no licence text here. There
// are none, unless it was built with other modules than the project's.
func Missing() []string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return nil
	}
	known := map[string]bool{}
	for _, m := range Modules() {
		known[m.Path] = true
	}
	var missing []string
	for _, d := range info.Deps {
		if !known[d.Path] {
			missing = append(missing, d.Path)
		}
	}
	return missing
}

// Write writes all notices as text for a person.
func Write(w io.Writer) error {
	out := bufio.NewWriter(w)
	fmt.Fprint(out, `This program contains the Go modules below and the Go library (std), and tables of
numbers that were transcribed from packages. Their licences follow. A module may be
part of the program on one system and not on another.

`)
	for _, t := range Tables() {
		fmt.Fprintf(out, "%s: %s\n    Source: %s. Numbers as in %s (%s).\n", t.Files, t.Data, t.Source, t.Package, t.Licence)
	}
	for _, t := range licences() {
		heading(out, t.Name, t.Text)
	}
	for _, m := range Modules() {
		for _, t := range m.Texts {
			heading(out, m.Path+": "+t.Name, t.Text)
		}
	}
	for _, m := range Missing() {
		heading(out, m, "The text of its licence is not in this program; see the module's source.")
	}
	return out.Flush()
}

func heading(w io.Writer, title, text string) {
	fmt.Fprintf(w, "\n%s\n%s\n%s\n", title, strings.Repeat("-", len(title)), strings.TrimRight(text, "\n"))
}
