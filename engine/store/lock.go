package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"candelua/engine/regular"
	"candelua/engine/result"

	"github.com/gofrs/flock"
)

// ErrLocked is the cause of an error where another process, or another part
// of this one, has the run open.
var ErrLocked = errors.New("the run is in use")

const (
	lockName   = "lock"
	holderName = "lock.json"
	lockKind   = "candelua-lock"
	lockFormat = 1
)

// holder says which process has a run open for writing. It is a file beside the
// lock, because a locked file cannot be read on every system. Only the lock
// decides; a holder file left behind by a killed process has no effect.
type holder struct {
	result.Head
	PID  int    `json:"pid"`
	Host string `json:"host,omitempty"`
}

// lockToWrite takes the exclusive lock of a run's folder. The system releases it
// when the process ends, however it ends.
func lockToWrite(root *os.Root) (*flock.Flock, error) {
	if err := checkLockFile(root); err != nil {
		return nil, err
	}
	l := flock.New(filepath.Join(root.Name(), lockName), flock.SetFlag(os.O_CREATE|os.O_RDWR), flock.SetPermissions(0o644))
	ok, err := l.TryLock()
	if err != nil {
		return nil, fmt.Errorf("run %s cannot be locked: %w", root.Name(), err)
	}
	if !ok {
		return nil, lockedBy(root)
	}
	host, _ := os.Hostname() // a missing name makes the message shorter, no more
	text, err := json.Marshal(holder{result.Head{Format: lockFormat, Kind: lockKind}, os.Getpid(), host})
	if info, there := root.Lstat(holderName); err == nil && there == nil && info.IsDir() {
		_, err = setAside(root, holderName)
	}
	if err == nil {
		err = replaceFile(root, holderName, bytesOf(append(text, '\n')))
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("run %s: %w", root.Name(), err), l.Unlock())
	}
	return l, nil
}

// lockToRead takes the shared lock, and writes nothing. A folder without a lock
// file, such as a copy or an archive, is read without a lock.
func lockToRead(root *os.Root) (*flock.Flock, error) {
	if err := checkLockFile(root); err != nil {
		return nil, err
	}
	l := flock.New(filepath.Join(root.Name(), lockName), flock.SetFlag(os.O_RDONLY))
	ok, err := l.TryRLock()
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("run %s cannot be locked: %w", root.Name(), err)
	}
	if !ok {
		return nil, lockedBy(root)
	}
	return l, nil
}

// checkLockFile refuses a lock that is not a regular file, such as a symbolic link
// to a file outside.
func checkLockFile(root *os.Root) error {
	info, err := root.Lstat(lockName)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("run %s: %w", root.Name(), err)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("run %s: %s is not a regular file; remove it if no candelua is running", root.Name(), lockName)
	}
	return nil
}

// lockedBy says who has the run open: readers, if the shared lock can be taken;
// if not, the writer that the holder file names.
func lockedBy(root *os.Root) error {
	readers := flock.New(filepath.Join(root.Name(), lockName), flock.SetFlag(os.O_RDONLY))
	if ok, err := readers.TryRLock(); ok && err == nil {
		return errors.Join(fmt.Errorf("run %s is being read by another candelua: %w; wait until it has finished", root.Name(), ErrLocked), readers.Unlock())
	}
	var h holder
	text, err := regular.ReadIn(root, holderName)
	if err != nil || json.Unmarshal(text, &h) != nil || h.PID == 0 {
		return fmt.Errorf("run %s: %w; wait until the other candelua has finished", root.Name(), ErrLocked)
	}
	if h.PID == os.Getpid() {
		return fmt.Errorf("run %s is already open in this process: %w", root.Name(), ErrLocked)
	}
	where := ""
	if h.Host != "" {
		where = " on " + h.Host
	}
	return fmt.Errorf("run %s is open in process %d%s: %w; stop that process, or wait until it ends", root.Name(), h.PID, where, ErrLocked)
}
