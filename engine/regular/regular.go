// Package regular opens regular files and nothing else.
//
// A run's folder may come from elsewhere. A pipe or a device in the place of a file keeps whoever opens it
// waiting for good, and reading some devices changes them. So a file is looked at before it is opened, opened so
// that nothing waits, and looked at again.
//
// Symbolic links are followed; within an [os.Root] they lead nowhere else.
package regular

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// ErrOther is the cause of an error where something else than a regular file is found.
var ErrOther = errors.New("it must be a regular file")

// otherError says what is found in the place of a file.
type otherError struct{ name, what string }

func (e *otherError) Error() string { return fmt.Sprintf("%s is %s; %v", e.name, e.what, ErrOther) }

// Unwrap gives [ErrOther].
func (e *otherError) Unwrap() error { return ErrOther }

// Hint says what to do next.
func (e *otherError) Hint() string { return "move it away, and put the file back from a copy" }

// Open opens a file that is there. The flag is one of [os.O_RDONLY], [os.O_WRONLY] and [os.O_RDWR].
func Open(name string, flag int) (*os.File, error) {
	return open(name,
		func() (fs.FileInfo, error) { return os.Stat(name) },
		func() (*os.File, error) { return os.OpenFile(name, flag|syscall.O_NONBLOCK, 0) })
}

// Read reads a file.
func Read(name string) ([]byte, error) { return all(Open(name, os.O_RDONLY)) }

// ReadIn reads a file within a folder, as [os.Root.ReadFile] does.
func ReadIn(root *os.Root, name string) ([]byte, error) {
	return all(open(name,
		func() (fs.FileInfo, error) { return root.Stat(name) },
		func() (*os.File, error) { return root.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0) }))
}

func open(name string, stat func() (fs.FileInfo, error), open func() (*os.File, error)) (*os.File, error) {
	info, err := stat()
	if err != nil {
		var at *fs.PathError
		if errors.As(err, &at) { // which names the call of the system
			at.Op = "open"
		}
		return nil, err
	}
	if err := check(name, info.Mode()); err != nil {
		return nil, err
	}
	f, err := open()
	if err != nil {
		return nil, err
	}
	if info, err = f.Stat(); err == nil { // it may have been replaced meanwhile
		err = check(name, info.Mode())
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// check says what a file is that is not a regular one.
func check(name string, mode fs.FileMode) error {
	what := "something else"
	switch {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		what = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		what = "a pipe"
	case mode&fs.ModeSocket != 0:
		what = "a socket"
	case mode&fs.ModeDevice != 0:
		what = "a device"
	}
	return &otherError{name, what}
}

func all(f *os.File, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(f)
	return data, errors.Join(err, f.Close())
}
