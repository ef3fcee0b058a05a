package player

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// The files of a folder beside those of the patches.
const (
	indexFile = "patches.json" // for the driver
	pageFile  = "index.html"
	listFile  = "index.csv"
)

// The kind and the version of indexFile.
const (
	indexKind   = "candelua patches"
	indexFormat = 1
)

// Index is what a folder says of itself.
type Index struct {
	Kind     string    `json:"kind"`
	Format   int       `json:"format"`
	Candelua string    `json:"candelua"` // version that made it
	About    About     `json:"about"`
	Layout   Layout    `json:"layout"`
	Patches  []Entry   `json:"patches"`
	Timed    *Schedule `json:"timed,omitempty"` // the video of the whole procedure
	sum      string    // of the index, for the identity
	path     string
}

// About says what a folder was made for.
type About struct {
	Procedure string         `json:"procedure"`
	Title     string         `json:"title"`
	Params    map[string]any `json:"params,omitempty"`
	Unit      string         `json:"unit,omitempty"`
}

func hintOf(err error) string { return fault.HintOf(err) }

// Open reads the index of a folder, and looks whether its files are there.
func Open(dir string) (*Index, error) {
	const hint = "make one with: candelua patches PROCEDURE --to FOLDER"
	src, err := os.ReadFile(filepath.Join(dir, indexFile))
	if err != nil {
		return nil, bench.Errorf(bench.CodeBadFile, hint, "%s is no folder of patches: %w", dir, err)
	}
	var in Index
	if err := json.Unmarshal(src, &in); err != nil {
		return nil, bench.Errorf(bench.CodeBadFile, hint, "%s is damaged: %w", filepath.Join(dir, indexFile), err)
	}
	switch {
	case in.Kind != indexKind:
		return nil, bench.Errorf(bench.CodeBadFile, hint, "%s is no index of patches", filepath.Join(dir, indexFile))
	case in.Format != indexFormat:
		return nil, bench.Errorf(bench.CodeBadFile, "make the folder again with this version", "%s has format %d; this version reads format %d", filepath.Join(dir, indexFile), in.Format, indexFormat)
	}
	if err := errors.Join(in.Layout.check(), in.Timed.check(len(in.Patches))); err != nil {
		return nil, bench.Errorf(bench.CodeBadFile, hint, "%s: %w", filepath.Join(dir, indexFile), err)
	}
	for _, f := range in.files() {
		at, err := os.Stat(filepath.Join(dir, f.name))
		if err == nil && at.Size() != f.bytes {
			err = fmt.Errorf("%s has %d bytes; the index says %d", filepath.Join(dir, f.name), at.Size(), f.bytes)
		}
		if err != nil {
			return nil, bench.Errorf(bench.CodeBadFile, "make the folder again", "a file of the folder %s is not as it was made: %w", dir, err)
		}
	}
	sum := sha256.Sum256(src)
	in.path, in.sum = dir, hex.EncodeToString(sum[:6])
	return &in, nil
}

// file is a file of patches and its size.
type file struct {
	name  string
	bytes int64
}

func (in *Index) files() (all []file) {
	for _, e := range in.Patches {
		all = append(all, file{e.File, e.Bytes})
	}
	if in.Timed != nil {
		all = append(all, file{in.Timed.File, in.Timed.Bytes})
	}
	return all
}

// Bytes is how large the files of the patches are in all.
func (in *Index) Bytes() (n int64) {
	for _, f := range in.files() {
		n += f.bytes
	}
	return n
}

// Asked is how many patches a run asks for.
func (in *Index) Asked() (n int) {
	for _, e := range in.Patches {
		n += e.Times
	}
	return n
}

// Page is the path of the index page.
func (in *Index) Page() string { return filepath.Join(in.path, pageFile) }

// find is the file of a patch, with the codes of this very patch; false where the folder has none.
func (in *Index) find(p bench.Patch) (Entry, bool) {
	pic, err := in.Layout.picture(p)
	if err != nil {
		return Entry{}, false
	}
	key := in.Layout.keyOf(p, pic)
	i := slices.IndexFunc(in.Patches, func(e Entry) bool { return e.Key == key })
	if i < 0 {
		return Entry{}, false
	}
	e := in.Layout.entry(p, pic, key, in.Patches[i].Shows)
	e.Number, e.File = in.Patches[i].Number, in.Patches[i].File
	return e, true
}

// replaceable refuses to replace a folder that holds anything that this package did not write there.
func replaceable(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("the folder %s cannot be used: %w", dir, err)
	case len(entries) == 0:
		return nil
	}
	taken := func(what string) error {
		return &fault.UsageError{Err: fmt.Errorf("the folder %s is not empty: %s", dir, what), Tip: "give --to a new folder, or move away what is in it"}
	}
	src, err := os.ReadFile(filepath.Join(dir, indexFile))
	var in Index
	if err != nil || json.Unmarshal(src, &in) != nil || in.Kind != indexKind {
		return taken("candelua patches did not make it")
	}
	own := []string{indexFile, pageFile, listFile}
	for _, f := range in.files() {
		own = append(own, f.name)
	}
	for _, e := range entries {
		if !slices.Contains(own, e.Name()) {
			return taken("candelua patches did not write " + e.Name())
		}
	}
	return nil
}
