package player

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"candelua/engine/still"
)

// Making is how a folder is made.
type Making struct {
	Plan     *Plan
	About    About
	Version  string                          // of candelua
	Progress func(done, of int, what string) // may be nil
	Length   int                             // of the video of a patch, s; 0: [DefaultLength]
	Timed    *TimedOptions                   // also one video of the whole procedure; nil for none
	clips    map[string]clip                 // that are coded already, by their pictures
}

// Write makes the folder dir. It is there whole or not at all. A folder that it made before is replaced; any other that
// is not empty is refused with a [fault.UsageError].
func Write(ctx context.Context, dir string, m Making) (in *Index, err error) {
	dir = filepath.Clean(dir)
	if m.Timed != nil { // what cannot be played is known before anything is written
		if _, err := m.Plan.schedule(*m.Timed); err != nil {
			return nil, err
		}
	}
	if err := replaceable(dir); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return nil, fmt.Errorf("the folder cannot be made: %w", err)
	}
	part, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+".part-")
	if err != nil {
		return nil, fmt.Errorf("the folder cannot be made: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(part))
		}
	}()
	if err := os.Chmod(part, 0o755); err != nil { // MkdirTemp makes it private
		return nil, err
	}
	in = &Index{Kind: indexKind, Format: indexFormat, Candelua: m.Version, About: m.About, Layout: m.Plan.Layout, Patches: m.Plan.Entries}
	m.clips = map[string]clip{}
	if err := m.patches(ctx, part, in); err != nil {
		return nil, err
	}
	if m.Timed != nil {
		if err := m.timed(ctx, part, in); err != nil {
			return nil, err
		}
	}
	if err := os.RemoveAll(filepath.Join(part, clipsFolder)); err != nil {
		return nil, err
	}
	if err := writeIndexes(part, in); err != nil {
		return nil, err
	}
	if err := put(part, dir); err != nil {
		return nil, err
	}
	in.path = dir
	return in, nil
}

func (m Making) tell(done, of int, what string) {
	if m.Progress != nil {
		m.Progress(done, of, what)
	}
}

// patches writes the files of the patches.
func (m Making) patches(ctx context.Context, part string, in *Index) error {
	for i := range in.Patches {
		e := &in.Patches[i]
		m.tell(i, len(in.Patches), e.File)
		if err := context.Cause(ctx); err != nil {
			return err
		}
		path := filepath.Join(part, e.File)
		var err error
		if in.Layout.Form == Stills {
			err = m.still(path, in.Layout, e)
		} else {
			err = m.video(ctx, path, in.Layout, e)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", e.File, err)
		}
		if e.Bytes, e.SHA256, err = summed(path); err != nil {
			return err
		}
	}
	m.tell(len(in.Patches), len(in.Patches), "")
	return nil
}

func (m Making) still(path string, l Layout, e *Entry) error {
	what, err := l.meaning(e.Patch)
	if err != nil {
		return err
	}
	return writeFile(path, func(w io.Writer) error { return still.PNG(w, e.picture, what, e.Patch.Metadata) })
}

// writeFile writes a file that is not there yet, and has it on the disk.
func writeFile(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	if err = write(w); err == nil {
		err = w.Flush()
	}
	return errors.Join(err, f.Close())
}

// summed is a file's size and its sum.
func summed(path string) (int64, string, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, "", err
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	return n, hex.EncodeToString(sum.Sum(nil)), err
}

func writeIndexes(part string, in *Index) error {
	for _, f := range []struct {
		name  string
		write func(io.Writer, *Index) error
	}{{pageFile, writePage}, {listFile, writeList}, {indexFile, writeJSON}} {
		if err := writeFile(filepath.Join(part, f.name), func(w io.Writer) error { return f.write(w, in) }); err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
	}
	return nil
}

func writeJSON(w io.Writer, in *Index) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(in)
}

// put puts a folder in its place. One that is there is moved aside first, and back where that fails.
func put(part, dir string) error {
	old := part + ".old"
	err := os.Rename(dir, old)
	replaced := err == nil
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("the folder %s cannot be replaced: %w", dir, err)
	}
	if err := os.Rename(part, dir); err != nil {
		if replaced {
			err = errors.Join(err, os.Rename(old, dir))
		}
		return fmt.Errorf("the folder %s cannot be put in its place: %w", dir, err)
	}
	if replaced {
		return os.RemoveAll(old)
	}
	return nil
}
