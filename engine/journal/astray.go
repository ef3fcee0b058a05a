package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// secure sees to it that all, the journal's bytes, are in the file that is found at the journal's path: another
// program may have removed, replaced or emptied it, and what is written then reaches nobody. Such a file is
// written anew from memory. Bytes before j.secured were found there before, and only the last of them is
// looked at again, which a file that was emptied since has lost.
func (j *Journal) secure(all []byte) error {
	if j.file == nil || j.trim {
		return nil
	}
	if why := j.astray(all); why != "" {
		var err error
		if j.options.Folder != nil {
			err = j.options.Folder()
		}
		kept := ""
		if err == nil {
			kept, err = j.anew(all)
		}
		if err != nil {
			return fmt.Errorf("%s, and cannot be written anew: %w", why, err)
		}
		if j.options.Tell != nil {
			j.options.Tell(fmt.Sprintf("%s: the journal %s during the run; it was written anew, and nothing is lost%s", j.path, why, kept))
		}
	}
	j.secured = len(all)
	return nil
}

// Secure compares the whole file with what is in memory, and writes it anew where another program removed, replaced or
// changed it. A journal that is not open to be written, or that can no longer be, is left as it is.
func (j *Journal) Secure() error {
	if j.mode != writing || j.broken != nil {
		return nil
	}
	if err := j.secureAll(); err != nil {
		return fmt.Errorf("%s: the journal %w", j.path, err)
	}
	return nil
}

func (j *Journal) secureAll() error {
	j.secured = 0
	return j.secure(j.data)
}

// astray says what became of the file; nothing where it is as it should be.
func (j *Journal) astray(all []byte) string {
	there, err := os.Lstat(j.path)
	if errors.Is(err, fs.ErrNotExist) {
		return "was removed"
	}
	if err != nil {
		return "can no longer be reached: " + err.Error()
	}
	open, err := j.file.Stat()
	if err != nil || !os.SameFile(there, open) {
		return "was replaced"
	}
	from := max(j.secured-1, 0)
	now := make([]byte, len(all)-from)
	if _, err := j.file.ReadAt(now, int64(from)); err != nil || open.Size() != int64(len(all)) || !bytes.Equal(now, all[from:]) {
		return "was changed by another program"
	}
	return ""
}

// anew writes the file from memory, beside its path and then in its place. It says where that is kept which
// was found there.
func (j *Journal) anew(all []byte) (kept string, err error) {
	beside := partPath(j.path)
	if err := writeNew(beside, all); err != nil {
		return "", err
	}
	j.file.Close() // its file is lost anyway; some systems rename no open file
	if kept, err = j.setAside(); err != nil {
		return "", err
	}
	if err := os.Rename(beside, j.path); err != nil {
		return "", err
	}
	if err := syncFolder(filepath.Dir(j.path)); err != nil {
		return "", err
	}
	f, err := openAt(j.path, int64(len(all)))
	if err != nil {
		return "", err
	}
	j.file, j.unsaved = f, false
	return kept, nil
}

// partPath is where a file is written before it takes its place.
func partPath(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part")
}

// writeNew writes a file that is not there yet; one that a crash left is removed.
func writeNew(path string, all []byte) error {
	if err := os.RemoveAll(path); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(all)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(path)
	}
	return err
}

// setAside renames what is found at the journal's path to <name>-found-<n>, n being the first free number
// from 1. It is somebody's, so it is not deleted; an empty file holds nothing.
func (j *Journal) setAside() (told string, err error) {
	there, err := os.Lstat(j.path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && there.Mode().IsRegular() && there.Size() == 0 {
		return "", nil
	}
	end := filepath.Ext(j.path)
	stem := strings.TrimSuffix(j.path, end)
	for n := 1; ; n++ {
		to := fmt.Sprintf("%s-found-%d%s", stem, n, end)
		if _, err := os.Lstat(to); errors.Is(err, fs.ErrNotExist) {
			return "; what was found in its place is in " + to, os.Rename(j.path, to)
		}
	}
}
