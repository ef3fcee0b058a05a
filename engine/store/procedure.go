package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
)

// errOther is the cause of an error where a script is already kept with other
// content, or under a name that some system takes for the same.
var errOther = errors.New("the run keeps another script of this name")

// AddProcedure keeps an exact copy of a script under its name, which may have
// folders separated by slashes ("lib/decay.lua"). Keeping the same script again
// does nothing. It fails for a name that leads out of the folder or cannot be a file
// name (errName). It also fails if another content, or a name that differs only in
// case, is kept already (errOther): a copy never changes silently.
func (r *Run) AddProcedure(name string, src []byte) error {
	kept, err := r.clash(name)
	if err != nil {
		return err
	}
	if kept == "" {
		return r.writeProcedure(name, src)
	}
	before, err := r.Procedure(kept)
	if err != nil {
		return err
	}
	if kept != name || !bytes.Equal(before, src) {
		return fmt.Errorf("run %s: script %q: %w as %q; resume with the edited script instead", r.path, name, errOther, kept)
	}
	return nil
}

// ReplaceProcedure keeps a script in the place of one of the same name, for a
// resume with an edited script. The former copy, where it differs, is kept in
// former/<n>, n being the first free number from 1. It fails as
// [Run.AddProcedure] does, but for other content.
func (r *Run) ReplaceProcedure(name string, src []byte) error {
	kept, err := r.clash(name)
	if err != nil {
		return err
	}
	if kept != "" && kept != name {
		return fmt.Errorf("run %s: script %q: %w as %q; give it the same name", r.path, name, errOther, kept)
	}
	if kept == "" {
		return r.writeProcedure(name, src)
	}
	before, err := r.Procedure(name)
	if err != nil {
		return err
	}
	if bytes.Equal(before, src) {
		return nil
	}
	if err := r.keepFormer(name, before); err != nil {
		return err
	}
	return r.writeProcedure(name, src)
}

// keepFormer writes a copy where no former one of that name lies.
func (r *Run) keepFormer(name string, src []byte) error {
	for n := 1; ; n++ {
		to := path.Join(formerName, fmt.Sprint(n), name)
		if _, err := r.root.Lstat(to); err == nil {
			continue
		}
		if err := r.folder(path.Dir(to)); err != nil {
			return err
		}
		return r.replace(to, bytesOf(src))
	}
}

// Former returns the copies of a script that were replaced, the oldest first.
func (r *Run) Former(name string) ([][]byte, error) {
	if err := checkPath(name); err != nil {
		return nil, fmt.Errorf("run %s: script: %w", r.path, err)
	}
	var all [][]byte
	for n := 1; ; n++ {
		if _, err := r.root.Stat(path.Join(formerName, fmt.Sprint(n))); err != nil {
			return all, nil
		}
		src, err := r.file(path.Join(formerName, fmt.Sprint(n), name))
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		all = append(all, src)
	}
}

func (r *Run) writeProcedure(name string, src []byte) error {
	to := path.Join(ProcedureName, name)
	if err := r.folder(path.Dir(to)); err != nil {
		return err
	}
	return r.replace(to, bytesOf(src))
}

// Procedure returns the copy of a script, by the name that it was kept under.
func (r *Run) Procedure(name string) ([]byte, error) {
	if err := checkPath(name); err != nil {
		return nil, fmt.Errorf("run %s: script: %w", r.path, err)
	}
	return r.file(path.Join(ProcedureName, name))
}

// procedures returns the names of all scripts that are kept, sorted.
func (r *Run) procedures() ([]string, error) {
	var names []string
	err := fs.WalkDir(r.root.FS(), ProcedureName, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := p[min(len(p), len(ProcedureName)+1):]
		if d.Type().IsRegular() && checkPath(name) == nil { // a file of ours that a crash left begins with a dot
			names = append(names, name)
		}
		return nil
	})
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("run %s: %w", r.path, err)
	}
	slices.Sort(names)
	return names, nil
}

// clash checks a name, and returns the kept name that is the same on some
// system, or "".
func (r *Run) clash(name string) (string, error) {
	if err := checkPath(name); err != nil {
		return "", fmt.Errorf("run %s: script: %w", r.path, err)
	}
	names, err := r.procedures()
	if err != nil {
		return "", err
	}
	for _, kept := range names {
		if fold(kept) == fold(name) {
			return kept, nil
		}
	}
	// A folder, or a name that this system alone takes for the same.
	if _, err := r.root.Lstat(path.Join(ProcedureName, name)); err == nil {
		return "", fmt.Errorf("run %s: script %q: %w", r.path, name, errOther)
	}
	return "", nil
}
