package procedure

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/script"
	"candelua/engine/spell"
)

// Procedure is a script's source and where it finds what it requires.
type Procedure struct {
	Name   string // "window-sweep"
	File   string // "window-sweep.lua", in messages and in the run's folder
	Source []byte
	Origin string                            // where it came from, for people
	Find   func(file string) ([]byte, error) // reads a file beside it, or a shipped library
	Rules  int                               // by which its run computes, where it is that of one; 0: today's
}

// FoundAs is how it can be found again: its path, or the name of a shipped one.
func (p *Procedure) FoundAs() string {
	if p.Origin == shippedOrigin {
		return p.Name
	}
	return p.Origin
}

// shippedOrigin is where shipped procedures come from.
const shippedOrigin = "shipped"

// IsPath tells a path from a shipped name: it contains a slash or ends in
// .lua or .toml.
func IsPath(name string) bool {
	return strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".lua") || strings.HasSuffix(name, ".toml")
}

// Beside returns the path of the file in the working folder that a name was probably
// meant for, with the ending or without, or "" if there is none.
func Beside(name, ending string) string {
	for _, file := range []string{name + ending, name} {
		if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() {
			return "./" + file
		}
	}
	return ""
}

// Find reads a procedure: a path, or the name of one that is shipped.
// What it requires is looked for beside it, then in the folder lib of what is
// shipped.
func Find(name string, shipped fs.FS) (*Procedure, error) {
	if IsPath(name) {
		return procedureAt(name, shipped)
	}
	src, err := fs.ReadFile(shipped, name+".lua")
	if err != nil {
		names := Shipped(shipped)
		tip := "shipped procedures: " + strings.Join(names, ", ")
		if near := spell.Nearest(name, names); near != "" {
			tip = fmt.Sprintf("did you mean %s? (%s)", near, tip)
		}
		if own := Beside(name, ".lua"); own != "" {
			tip = fmt.Sprintf("did you mean %s? (%s)", own, tip)
		}
		return nil, &fault.UsageError{Err: fmt.Errorf("there is no procedure called %q", name), Tip: tip + "; a path contains a / or ends in .lua"}
	}
	return &Procedure{Name: name, File: name + ".lua", Source: src, Origin: shippedOrigin,
		Find: func(file string) ([]byte, error) { return fs.ReadFile(shipped, path.Join("lib", file)) }}, nil
}

func procedureAt(name string, shipped fs.FS) (*Procedure, error) {
	src, err := ReadText(name)
	if err != nil {
		return nil, fault.Usage(fmt.Errorf("the procedure cannot be read: %w", err))
	}
	file := filepath.Base(name)
	root, err := os.OpenRoot(filepath.Dir(name)) // no link leads out of it
	if err != nil {
		return nil, fault.Usage(fmt.Errorf("the procedure's folder cannot be read: %w", err))
	}
	beside := root.FS()
	return &Procedure{Name: strings.TrimSuffix(file, ".lua"), File: file, Source: src, Origin: name,
		Find: func(file string) ([]byte, error) {
			src, err := readText(beside.Open, file)
			if errors.Is(err, fs.ErrNotExist) {
				return fs.ReadFile(shipped, path.Join("lib", file))
			}
			return src, err
		}}, nil
}

// MostText is the largest file that is read as a script or a description.
const MostText = 4 << 20

// ReadText reads a file that a person wrote: a regular one, of a size that a
// person writes.
func ReadText(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, noFileError(path)
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("%s is a folder; give the path of a file", path)
	case err == nil && !info.Mode().IsRegular():
		return nil, notText(path) // before it is opened: a pipe would wait for its other end
	}
	return readText(func(name string) (fs.File, error) { return os.Open(name) }, path)
}

// noFileError is the path of a file that is not there.
type noFileError string

func (e noFileError) Error() string { return "there is no file " + string(e) }

// Unwrap gives [fs.ErrNotExist].
func (e noFileError) Unwrap() error { return fs.ErrNotExist }

func notText(path string) error {
	return fmt.Errorf("%s is not a regular file of at most %d MiB", path, MostText>>20)
}

func readText(open func(string) (fs.File, error), path string) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() || info.Size() > MostText {
		return nil, errors.Join(err, notText(path))
	}
	src, err := io.ReadAll(io.LimitReader(f, MostText+1))
	if err == nil && len(src) > MostText {
		err = notText(path)
	}
	return src, err
}

// Shipped lists the names of the shipped procedures.
func Shipped(shipped fs.FS) []string {
	files, _ := fs.Glob(shipped, "*.lua")
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = strings.TrimSuffix(f, ".lua")
	}
	slices.Sort(names)
	return names
}

// Loaded is a procedure that is compiled, with all that it loaded.
type Loaded struct {
	Procedure *Procedure
	Program   *script.Program
	Contract  *script.Contract
	Files     []File              // the main script first
	asks      func() caution.Asks // read from the sources when it is first wanted: replays never want it
}

// File is one file of a procedure.
type File struct {
	Name   string
	Source []byte
}

// Load compiles a procedure and reads its contract. Nothing is touched.
func Load(ctx context.Context, p *Procedure, modules []*script.Module) (*Loaded, error) {
	l := &loading{from: p, files: []File{{p.File, p.Source}}}
	program, err := script.CompileBy(p.Rules, p.File, p.Source, l.find, modules)
	if err != nil {
		return nil, err
	}
	rt, err := program.Start(ctx, script.Host{})
	if err != nil {
		return nil, err
	}
	defer rt.Close()
	l.seal()
	contract, files := rt.Contract(), l.files
	asks := sync.OnceValue(func() caution.Asks { return asksOf(contract, files, modules) })
	return &Loaded{p, program, contract, files, asks}, nil
}

// loading keeps every file that a procedure loads, for its run's folder.
type loading struct {
	sync.Mutex
	from  *Procedure
	files []File
	// sealed says that the run's folder has its copies: what is loaded only
	// now would be missing there.
	sealed bool
}

func (l *loading) seal() {
	l.Lock()
	defer l.Unlock()
	l.sealed = true
}

// find finds what a script requires: decay.lua for decay, lib/decay.lua for
// lib.decay.
func (l *loading) find(name string) (string, []byte, error) {
	l.Lock()
	defer l.Unlock()
	file := strings.ReplaceAll(name, ".", "/") + ".lua"
	for _, f := range l.files {
		if f.Name == file {
			return file, f.Source, nil
		}
	}
	if l.sealed {
		return "", nil, fmt.Errorf("%s is loaded while the procedure runs, so the run folder has no copy of it; call require at the top of the file", file)
	}
	src, err := l.from.Find(file)
	if errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("there is no %s beside the procedure, nor among the shipped libraries", file)
	}
	if err != nil {
		return "", nil, err
	}
	l.files = append(l.files, File{file, src})
	return file, src, nil
}

// Same says whether two procedures consist of the same files.
func (l *Loaded) Same(other *Loaded) bool { return slices.Equal(l.Sums(), other.Sums()) }

// Sums tell the files from any others.
func (l *Loaded) Sums() []history.ScriptSum {
	var sums []history.ScriptSum
	for _, f := range l.Files {
		sums = append(sums, history.ScriptSum{Name: f.Name, SHA256: history.Sum(f.Source)})
	}
	return sums
}
