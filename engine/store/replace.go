package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"runtime"
)

// replaceFile writes a file so that a crash leaves the old content or the new
// one, never a part: it writes a file beside it, syncs that, renames it over
// the old one and syncs the folder. On an error the old content stays and the
// file beside it is removed; one that a crash left behind is overwritten, for
// the run's lock lets only one process write.
func replaceFile(root *os.Root, name string, write func(io.Writer) error) error {
	beside := path.Join(path.Dir(name), "."+path.Base(name)+".part")
	err := writeSynced(root, beside, write)
	if err == nil {
		err = root.Rename(beside, name)
	}
	if err != nil {
		err = errors.Join(err, ignoreMissing(root.Remove(beside)))
		if _, none := root.Lstat(name); none != nil {
			return fmt.Errorf("%s was not written: %w", name, err)
		}
		return fmt.Errorf("%s was not written, the old file is kept: %w", name, err)
	}
	return syncFolder(root, path.Dir(name))
}

// writeSynced writes a file that is not there yet. Whatever has its name is removed: a file
// that a crash left, or a pipe, which would keep whoever opens it waiting.
func writeSynced(root *os.Root, name string, write func(io.Writer) error) error {
	if err := root.RemoveAll(name); err != nil {
		return err
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err = write(f); err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// syncFolder puts a rename on the disk. Windows cannot sync folders, and refuses.
func syncFolder(root *os.Root, name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := root.Open(name)
	if err != nil {
		return fmt.Errorf("folder %s: %w", name, err)
	}
	return errors.Join(d.Sync(), d.Close())
}

func ignoreMissing(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}
