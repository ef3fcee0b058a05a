package store

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"slices"
	"strings"

	"candelua/engine/regular"
)

// TellTo has tell told what another program did to the folder while it is open, and what was done about it.
func (r *Run) TellTo(tell func(string)) { r.told = tell }

func (r *Run) tell(format string, args ...any) {
	if r.told != nil {
		r.told(fmt.Sprintf("run %s: ", r.path) + fmt.Sprintf(format, args...))
	}
}

// script says whether a file is a script, or the folder of scripts.
func script(name string) bool {
	folder, _, _ := strings.Cut(name, "/")
	return folder == ProcedureName || folder == formerName
}

// remembered says whether a file cannot be made again from the journal, so that what was read or written of it is kept in
// memory: the scripts. So is run.json, which says what the folder is until it is written anew.
func remembered(name string) bool { return name == MetaName || script(name) }

func (r *Run) remember(name string, text []byte) {
	if r.kept == nil {
		r.kept = map[string][]byte{}
	}
	r.kept[name] = text
}

// Secure sees to it that the folder at the run's path is the one that is open, and holds the run's scripts: another
// program may have removed, renamed or replaced either, and what is written then is found by nobody. What is not there
// is made anew, and the lock is taken there. Of a run that is open for reading it does nothing.
func (r *Run) Secure() error {
	if r.read {
		return nil
	}
	if err := r.comeHome(); err != nil {
		return fmt.Errorf("run %s: the folder was removed, renamed or replaced, and cannot be made anew: %w", r.path, err)
	}
	for _, name := range slices.Sorted(maps.Keys(r.kept)) {
		if err := r.putBack(name); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
	}
	return nil
}

// comeHome opens the folder at the run's path where that is not the one that is open.
func (r *Run) comeHome() error {
	open, err := r.root.Stat(".")
	there, missing := os.Stat(r.path)
	if err == nil && missing == nil && os.SameFile(open, there) {
		return nil
	}
	if err := os.MkdirAll(r.path, 0o755); err != nil {
		return err
	}
	root, err := os.OpenRoot(r.path)
	if err != nil {
		return err
	}
	lock, err := lockToWrite(root)
	if err != nil {
		return errors.Join(err, root.Close())
	}
	_ = r.root.Remove(holderName) // where the former folder lies elsewhere; it says nothing any more
	_ = errors.Join(r.lock.Unlock(), r.root.Close())
	r.root, r.lock = root, lock
	r.tell("the folder was removed, renamed or replaced during the run; it was made anew in its place, and nothing measured is lost")
	return nil
}

// putBack writes a file that is remembered and is not there any more, or is another one. Only run.json changes while a run
// is in progress.
func (r *Run) putBack(name string) error {
	now, err := regular.ReadIn(r.root, name)
	if err == nil && (name == MetaName || bytes.Equal(now, r.kept[name])) {
		return nil
	}
	if err := r.clearWay(path.Dir(name)); err != nil {
		return err
	}
	aside, err := setAside(r.root, name)
	if err != nil {
		return err
	}
	if aside != "" {
		r.tell("%s was changed during the run; it was written anew, and what was found in its place is in %s", name, aside)
	}
	if err := r.root.MkdirAll(path.Dir(name), 0o755); err != nil {
		return err
	}
	return replaceFile(r.root, name, bytesOf(r.kept[name]))
}

// clearWay sets aside what is not a folder and is where one is to be, for each part of a path.
func (r *Run) clearWay(name string) error {
	for at, c := range name + "/" {
		if c == '/' {
			if err := r.clear(name[:at], true); err != nil {
				return err
			}
		}
	}
	return nil
}

// clear sets aside a folder that is where a file is to be, or something else that is where a folder is to be. A file takes
// the place of anything but a folder.
func (r *Run) clear(name string, folder bool) error {
	if info, err := r.root.Lstat(name); err != nil || !folder && !info.IsDir() {
		return nil
	}
	if info, err := r.root.Stat(name); folder && err == nil && info.IsDir() {
		return nil
	}
	aside, err := setAside(r.root, name)
	if err == nil {
		r.tell("what was found in the place of %s is now in %s", name, aside)
	}
	return err
}

// setAside renames what has a file's or folder's name to <name>-found-<n>, n being the first free number from 1. It is
// somebody's, so it is not deleted.
func setAside(root *os.Root, name string) (to string, err error) {
	if _, err := root.Lstat(name); errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	end := path.Ext(name)
	to, _ = firstFree(root, strings.TrimSuffix(name, end)+"-found", end)
	return to, root.Rename(name, to)
}
