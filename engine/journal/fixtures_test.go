package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// update writes the fixtures anew. That is right for a new fixture and wrong for an old one: a format, once
// out, does not change.
var update = flag.Bool("update", false, "write the fixtures in testdata/journals anew")

const fixtures = "../../testdata/journals"

// struckRun was done; then a reading was set aside and taken again.
func struckRun() []Record {
	all := doneRun()
	t := all[len(all)-1].T
	all = append(all, Record{Kind: KindResume, T: t, PauseSeconds: 86400, Reason: "resume --from 6"},
		Record{Kind: KindVoid, From: 6, T: t, Reason: "the meter had slipped"})
	all = append(all, readStep(6, t, 511.9, 5)...)
	return append(all, Record{Kind: KindClose, Block: 1, T: t + 2.5},
		Record{Kind: KindAsk, Step: 7, Name: "run.decide", T: t + 2.5, At: "window-sweep.lua:28", Args: raw(`{"name":"brightest"}`)},
		Record{Kind: KindAnswer, Step: 7, T: t + 2.5, Data: raw(`2`)},
		Record{Kind: KindEnd, T: t + 2.5, Status: Done, Data: raw(`{"steps":7}`)})
}

type goodFixture struct {
	file                           string
	data                           []byte
	records, steps, retakes, voids int
	blocks, torn                   int
	status                         Standing // of the end record, if it is over
}

func goodFixtures(t *testing.T) []goodFixture {
	done, mended := built(t, doneRun()).data, built(t, mendedRun()).data
	return []goodFixture{
		{"new.jsonl", built(t, nil).data, 1, 0, 0, 0, 0, 0, ""},
		{"done.jsonl", done, 35, 7, 0, 0, 1, 0, Done},
		{"mended.jsonl", mended, 34, 4, 1, 7, 1, 0, Failed},
		{"struck.jsonl", built(t, struckRun()).data, 48, 7, 0, 10, 1, 0, Done},
		{"torn.jsonl", done[:len(done)-1], 34, 7, 0, 0, 1, 84, ""},
		{"torn-early.jsonl", mended[:len(lines(mended)[0])+1], 1, 0, 0, 0, 0, 1, ""},
	}
}

type badFixture struct {
	file   string
	data   []byte
	record int // 0: the format is another one
	says   string
}

func badFixtures(t *testing.T) []badFixture {
	done := built(t, doneRun()).data
	all := lines(done)
	head := string(all[0])
	edit := func(from, to string) []byte { return bytes.Replace(done, []byte(from), []byte(to), 1) }
	other := lines(built(t, mendedRun()).data)
	return []badFixture{
		{"value-changed.jsonl", edit(`"grey":1,"window":10,`, `"grey":1,"window":18,`), 13, "its checksum does not match"},
		{"line-removed.jsonl", slices.Concat(slices.Delete(slices.Clone(all), 9, 10)...), 10, "its checksum does not match"},
		{"line-doubled.jsonl", slices.Concat(slices.Insert(slices.Clone(all), 9, all[9])...), 11, "its checksum does not match"},
		{"two-runs-joined.jsonl", slices.Concat(slices.Concat(all[:8], other[8:])...), 9, "its checksum does not match"},
		{"head-twice.jsonl", slices.Concat(all[0], done), 2, "its checksum does not match"},
		{"line-endings-changed.jsonl", bytes.ReplaceAll(done, []byte("\n"), []byte("\r\n")), 1, "its checksum does not match"},
		{"blank-line.jsonl", slices.Concat(done, []byte("\n")), 36, "does not end with a checksum"},
		{"sum-in-capitals.jsonl", slices.Concat(all[0], bytes.ToUpper(all[1])), 2, "does not end with a checksum"},
		{"step-missing.jsonl", resealed(slices.Concat(slices.Concat(all[:3], all[5:])...)), 4, "ask of step 2, want step 1"},
		{"answer-twice.jsonl", resealed(slices.Concat(slices.Concat(all[:5], all[4:])...)), 6, "no ask is open"},
		{"after-the-end.jsonl", resealed(slices.Concat(done, all[33])), 36, "aside while the run is ended"},
		{"unknown-field.jsonl", resealed(edit(`,"name":"sweep"`, `,"name":"sweep","mood":"fair"`)), 3, "unknown"},
		{"head-torn.jsonl", all[0][:40], 1, "start a new run"},
		{"empty.jsonl", nil, 1, "start a new run"},
		{"not-a-journal.jsonl", []byte("{\"window\":10,\"luminance\":680}\n"), 1, "not the head of a journal"},
		{"newer.jsonl", resealed([]byte(strings.Replace(head, `"format":1`, `"format":2`, 1))), 0, "use a newer candelua"},
		{"newer-sum.jsonl", []byte(headBegin + `9,"sum_by":"something-else","head":{}}` + "\n"), 0, "use a newer candelua"},
	}
}

// fixture returns a fixture's bytes, which must be what this build makes of the same records.
func fixture(t *testing.T, path string, want []byte) []byte {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, want, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(data, want) {
		t.Errorf("%s is not what this build writes: the format has changed", path)
	}
	return data
}

func TestGoodFixtures(t *testing.T) {
	var files []string
	for _, c := range goodFixtures(t) {
		files = append(files, c.file)
		path := filepath.Join(fixtures, "good", c.file)
		fixture(t, path, c.data)
		j, err := Load(path)
		if err != nil {
			t.Error(err)
			continue
		}
		got := goodFixture{file: c.file, data: c.data, records: j.Records(), steps: j.Steps(), blocks: len(j.Blocks()), torn: j.Torn()}
		for _, s := range steps(t, j) {
			got.retakes += s.Retakes
		}
		for n := range j.All() {
			if j.VoidedBy(n) > 0 {
				got.voids++
			}
		}
		if r, ok := j.Ended(); ok {
			got.status = r.Status
		}
		if fmt.Sprint(got) != fmt.Sprint(c) {
			got.data, c.data = nil, nil
			t.Errorf("read %+v\nwant %+v", got, c)
		}
	}
	wantFiles(t, "good", files)
}

func TestBadFixtures(t *testing.T) {
	var files []string
	for _, c := range badFixtures(t) {
		files = append(files, c.file)
		path := filepath.Join(fixtures, "bad", c.file)
		fixture(t, path, c.data)
		_, err := Load(path)
		var v *VersionError
		if c.record == 0 && !errors.As(err, &v) {
			t.Errorf("%s: error is %v, want a VersionError", c.file, err)
		}
		if c.record > 0 {
			var d *DamageError
			if !errors.As(err, &d) || d.Record != c.record {
				t.Errorf("%s: error is %v, want damage of record %d", c.file, err, c.record)
			}
		}
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: error is %v, want it to say %q", c.file, err, c.says)
		}
	}
	wantFiles(t, "bad", files)
}

// wantFiles fails if a fixture has no test.
func wantFiles(t *testing.T, folder string, want []string) {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(fixtures, folder))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !slices.Contains(want, e.Name()) {
			t.Errorf("%s/%s has no test", folder, e.Name())
		}
	}
}

// TestSumsByTheBook computes the sums of a fixture from their definition in the package comment, with
// encoding/json to find them and SHA-256 of whole texts.
func TestSumsByTheBook(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(fixtures, "good", "mended.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	before := ""
	for i, line := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
		var fields struct{ Sum string }
		if err := json.Unmarshal([]byte(line), &fields); err != nil {
			t.Fatal(err)
		}
		body, _, _ := strings.Cut(line, `,"sum":`)
		if want := fmt.Sprintf("%x", sha256.Sum256([]byte(before+body)))[:16]; fields.Sum != want {
			t.Errorf("line %d has the sum %s, want %s", i+1, fields.Sum, want)
		}
		before = fields.Sum
	}
}
