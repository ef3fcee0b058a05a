package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"candelua/engine/procedure"
	"candelua/engine/sim"
)

// A file of kept runs has a line that says what they were made of, then a line for each run, in
// the order in which they ended. So a survey that was stopped goes on where it was.

// madeOf is what runs were made of: runs of anything else are not taken for them.
type madeOf struct {
	Build  string `json:"build"`
	Script string `json:"script"`
	World  string `json:"world"`
	Draws  int    `json:"draws"`
}

// kept are the runs of a script that were made before, and the file that takes more.
type kept struct {
	runs map[uint64]once
	file *os.File // nil: nothing is kept
}

// kept opens the file of a script. It fails where the runs in it were made of something else.
func (s *survey) kept(loaded *procedure.Loaded, world sim.Params) (*kept, error) {
	k := &kept{runs: map[uint64]once{}}
	if s.keep == "" {
		return k, nil
	}
	of, err := s.madeOf(loaded, world)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(s.keep, 0o777); err != nil {
		return nil, err
	}
	path := filepath.Join(s.keep, loaded.Procedure.Name+".jsonl")
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	whole := data[:bytes.LastIndexByte(data, '\n')+1] // a last line that is torn is made again
	if err := k.read(whole, of); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if k.file, err = os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o666); err != nil {
		return nil, err
	}
	if err := k.file.Truncate(int64(len(whole))); err != nil {
		return nil, err
	}
	if _, err := k.file.Seek(int64(len(whole)), 0); err != nil {
		return nil, err
	}
	if len(whole) == 0 {
		return k, k.line(of)
	}
	return k, nil
}

func (s *survey) madeOf(loaded *procedure.Loaded, world sim.Params) (of madeOf, err error) {
	var sources []string
	for _, f := range loaded.Files {
		sources = append(sources, f.Name, string(f.Source))
	}
	var text strings.Builder
	if err := sim.Print(&text, world); err != nil {
		return of, err
	}
	b, err := build()
	return madeOf{b, sumOf(sources...), sumOf(text.String()), s.draws}, err
}

// read takes in the runs of a file.
func (k *kept) read(data []byte, of madeOf) error {
	lines := bufio.NewScanner(bytes.NewReader(data))
	lines.Buffer(nil, len(data)+1)
	for n := 0; lines.Scan(); n++ {
		if n == 0 {
			var was madeOf
			if err := json.Unmarshal(lines.Bytes(), &was); err != nil || was != of {
				return errors.New("its runs are of another program, script, world or number of draws; keep these runs in another folder")
			}
			continue
		}
		var r once
		if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
			return fmt.Errorf("line %d: %w", n+1, err)
		}
		k.runs[r.Seed] = r
	}
	return lines.Err()
}

// add keeps a run.
func (k *kept) add(r once) error {
	if k.file == nil {
		return nil
	}
	return k.line(r)
}

func (k *kept) line(v any) error {
	data, err := json.Marshal(v)
	if err == nil {
		_, err = k.file.Write(append(data, '\n'))
	}
	return err
}

func (k *kept) close() {
	if k.file != nil {
		_ = k.file.Close() // what was written is there already
	}
}
