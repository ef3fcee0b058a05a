package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestTornTail cuts a journal at every byte of its last line, for several last lines, and goes on.
func TestTornTail(t *testing.T) {
	records := mendedRun()
	for _, n := range []int{1, 2, 4, len(records)} {
		whole := built(t, records[:n]).data
		all := lines(whole)
		good := len(whole) - len(all[len(all)-1])
		for cut := good; cut < len(whole); cut++ {
			path := saved(t, whole[:cut])
			j, err := Open(path, Options{})
			if err != nil {
				t.Fatalf("cut at byte %d: %v", cut, err)
			}
			if j.Torn() != cut-good || j.Records() != n {
				t.Fatalf("cut at byte %d: torn is %d with %d records", cut, j.Torn(), j.Records())
			}
			if data, _ := os.ReadFile(path); len(data) != cut {
				t.Fatalf("cut at byte %d: opening changed the file", cut)
			}
			appendAll(t, j, records[n-1:n])
			if err := j.Close(); err != nil {
				t.Fatal(err)
			}
			if data, _ := os.ReadFile(path); !bytes.Equal(data, whole) {
				t.Fatalf("cut at byte %d: going on gave %d bytes, want the %d of an uncut journal", cut, len(data), len(whole))
			}
		}
	}
}

func TestTornHead(t *testing.T) {
	head := built(t, nil).data
	for cut := range head {
		_, err := Load(saved(t, head[:cut]))
		wantDamage(t, err, 1)
		if !strings.Contains(err.Error(), "start a new run") {
			t.Fatalf("cut at byte %d: error is %v", cut, err)
		}
	}
}

// TestEveryBit flips each bit of a journal in turn. Only the last newline may be missed: without it the
// last line is torn.
func TestEveryBit(t *testing.T) {
	whole := built(t, mendedRun()).data
	record := 1
	for i := range whole {
		for bit := range 8 {
			flipped := bytes.Clone(whole)
			flipped[i] ^= 1 << bit
			j, err := parse("flipped", flipped)
			if i == len(whole)-1 {
				if err != nil || j.Torn() == 0 {
					t.Fatalf("last newline, bit %d: %v", bit, err)
				}
				continue
			}
			var d *DamageError
			if !errors.As(err, &d) || d.Record != record {
				t.Fatalf("byte %d, bit %d, record %d: error is %v", i, bit, record, err)
			}
		}
		if whole[i] == '\n' {
			record++
		}
	}
}

func TestLinesMoved(t *testing.T) {
	all := lines(built(t, mendedRun()).data)
	refused := func(what string, record int, lines [][]byte) {
		t.Helper()
		_, err := parse(what, slices.Concat(lines...))
		var d *DamageError
		if !errors.As(err, &d) || d.Record != record {
			t.Errorf("%s: error is %v, want damage of record %d", what, err, record)
		}
	}
	for i := range all {
		if i+1 < len(all) { // without its last line a journal is whole
			refused(fmt.Sprintf("line %d removed", i+1), i+1, slices.Delete(slices.Clone(all), i, i+1))
			swapped := slices.Clone(all)
			swapped[i], swapped[i+1] = swapped[i+1], swapped[i]
			refused(fmt.Sprintf("line %d and the next swapped", i+1), i+1, swapped)
		}
		refused(fmt.Sprintf("line %d doubled", i+1), i+2, slices.Insert(slices.Clone(all), i, all[i]))
		refused(fmt.Sprintf("an empty line before %d", i+1), i+1, slices.Insert(slices.Clone(all), i, []byte("\n")))
		refused(fmt.Sprintf("a line break in line %d", i+1), i+1, slices.Insert(slices.Clone(all), i, all[i][:20], []byte("\n")))
		refused(fmt.Sprintf("a carriage return in line %d", i+1), i+1,
			slices.Replace(slices.Clone(all), i, i+1, bytes.ReplaceAll(all[i], []byte("\n"), []byte("\r\n"))))
	}
	other, err := Memory(benchHead{"window-sweep", "Heron 6", "Bright", 1})
	if err != nil {
		t.Fatal(err)
	}
	refused("another run's head", 2, slices.Concat(lines(other.data), all[1:]))
}

// TestGrammarIsReadToo seals lines that are not records properly, so that only the reader can object.
func TestGrammarIsReadToo(t *testing.T) {
	const body = `{"kind":"ask","step":1,"name":"meter.read","device":"meter","args":{},"at":"a.lua:1","t":0`
	with := func(from, to string) string { return strings.Replace(body, from, to, 1) }
	for _, bad := range []string{
		`{}`, ``, `x`, `null`, `{"step":1}`, `{"kind":1`, `{"kind":"ask`, `{"kind":"ask"}`,
		`{"kind":"head","t":0`, `{"kind":"note","t":0`, `{"kind":"ask","t":0`,
		with(`"step":1`, `"step":2`), with(`"step":1`, `"step":0`), with(`"step":1`, `"step":-1`),
		with(`"step":1`, `"step":1.0`), with(`"step":1`, `"step":1e0`), with(`"step":1`, `"step":"1"`),
		with(`"step":1`, `"step":01`), with(`"step":1`, `"step":18446744073709551617`),
		with(`"name":"meter.read"`, "\"name\":\"a\xff\""), `{"kind":"aside","name":"x","failure":{"code":"a","message":"` + "\xff" + `"},"t":0`,
		with(`"name":"meter.read"`, `"name":""`), with(`"name":"meter.read"`, `"name":7`),
		with(`"step":1,"name":"meter.read"`, `"name":"meter.read","step":1`),
		with(`"step":1`, `"step":1,"step":1`), with(`"t":0`, `"t":0,"mood":"fair"`), with(`"t":0`, `"t":0,`),
		with(`"t":0`, `"t":1e999`), with(`"t":0`, `"t":NaN`), with(`"t":0`, `"t":null`), with(`,"t":0`, ``),
		with(`"t":0`, `"t":0,"reason":"why"`), with(`"t":0`, `"t":0,"by_hand":true`), with(`{}`, `{ }`), with(`{}`, `{`),
		with(`,"step"`, `, "step"`), with(`"step":`, `"step" :`), with(`,"step"`, `;"step"`),
		`{"kind":"aside","name":"x","t":0,"by_hand":false`, `{"kind":"aside","name":"x","failure":{"code":"a"},"t":0`,
		`{"kind":"aside","name":"x","failure":{"message":"a","code":"a"},"t":0`, `{"kind":"aside","name":"x","failure":"a","t":0`,
		`{"kind":"aside","name":"x","failure":{"code":"a","message":"b","hint":"c","more":1},"t":0`,
		`{"kind":"aside","name":"x","failure":{"code":"a","message":"b","hint":3},"t":0`,
		`{"kind":"open","name":"x","block":1,"unbroken":1,"t":0`, `{"kind":"resume","t":0,"pause_s":-1`,
		`{"kind":"resume","t":0`, `{"kind":"end","t":0,"status":"fine"`, `{"kind":"sample","step":1,"data":1`,
	} {
		data := resealed([]byte(string(built(t, nil).data) + bad + sumKey + "0123456789abcdef" + sumEnd + "\n"))
		_, err := parse("sealed", data)
		var d *DamageError
		if !errors.As(err, &d) || d.Record != 2 {
			t.Errorf("%s: error is %v, want damage of record 2", bad, err)
		}
	}
	data := resealed([]byte(string(built(t, nil).data) + body + sumKey + "0123456789abcdef" + sumEnd + "\n"))
	if _, err := parse("sealed", data); err != nil {
		t.Errorf("the line that the others are made from: %v", err)
	}
}

func TestVersions(t *testing.T) {
	head := string(built(t, nil).data)
	with := func(from, to string) string { return strings.Replace(head, from, to, 1) }
	seal := func(s string) string { return string(resealed([]byte(s))) }
	for _, c := range []struct {
		name, data string
		format     int // 0: damage
		says       string
	}{
		{"newer", seal(with(`"format":1`, `"format":2`)), 2, "use a newer candelua"},
		{"newer with another sum", with(`"format":1,"sum_by":"sha256-64"`, `"format":12,"sum_by":"blake3"`), 12, "use a newer candelua"},
		{"newer and otherwise unknown", headBegin + "3}\nanything\n", 3, "use a newer candelua"},
		{"older", seal(with(`"format":1`, `"format":0`)), -1, "use the candelua that wrote it"},
		{"newer, sum does not fit", with(`"format":1`, `"format":2`), 0, "its checksum does not match"},
		{"another sum in this format", with("sha256-64", "sha256-32"), 0, "its checksum does not match"},
		{"another sum, sealed", seal(with("sha256-64", "sha256-32")), 0, "does not name the checksum"},
		{"format is no number", seal(with(`"format":1`, `"format":"1"`)), 0, "format is not a number"},
		{"format is too long", seal(with(`"format":1`, `"format":1111111111111111111`)), 0, "does not name the checksum"},
		{"no journal", `{"result":1}` + "\n", 0, "not the head of a journal"},
		{"head is not JSON", seal(with(`"head":{`, `"head":{{`)), 0, "not JSON"},
		{"a record first", string(lines(built(t, doneRun()).data)[1]), 0, "not the head of a journal"},
		{"empty", "", 0, "head is missing"},
		{"zeros", string(make([]byte, 512)), 0, "head is missing"},
	} {
		_, err := Load(saved(t, []byte(c.data)))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error is %v, want it to say %q", c.name, err, c.says)
		}
		var v *VersionError
		if c.format == 0 {
			wantDamage(t, err, 1)
		} else if !errors.As(err, &v) || v.Format != max(c.format, 0) || v.Reads != Format || v.path == "" {
			t.Errorf("%s: error is %#v, want a VersionError of format %d", c.name, err, c.format)
		}
	}
}

func TestLongLines(t *testing.T) {
	good := built(t, doneRun()[:1]).data
	long := bytes.Repeat([]byte("a"), maxLine+1)
	for _, end := range []string{"\n", ""} { // a torn line is no better
		_, err := parse("long", slices.Concat(good, long, []byte(end)))
		wantDamage(t, err, 3)
		if !strings.Contains(err.Error(), fmt.Sprint(maxLine)) {
			t.Errorf("error is %v, want it to name the bound", err)
		}
	}
	j := built(t, nil)
	text := slices.Concat([]byte(`"`), long[:maxLine], []byte(`"`))
	if err := j.Append(Record{Kind: KindAside, Name: "a", Data: text}); !errors.Is(err, errRefused) {
		t.Errorf("a record that is too long: error is %v", err)
	}
	most := maxLine - tailLen - len(`{"kind":"aside","name":"a","data":"","t":0`)
	text = append(text[:most+1], '"')
	appendAll(t, j, []Record{{Kind: KindAside, Name: "a", Data: text}})
	if again, err := parse("longest", j.data); err != nil || again.Records() != 2 {
		t.Errorf("the longest line: %v", err)
	}
	text = append(text[:most+1], 'a', '"')
	if err := j.Append(Record{Kind: KindAside, Name: "a", Data: text}); !errors.Is(err, errRefused) {
		t.Errorf("a record that is one byte too long: error is %v", err)
	}
}

// TestAfterADamagedOpen checks that a refused journal is left as it is, for whoever mends it by hand.
func TestAfterADamagedOpen(t *testing.T) {
	data := built(t, doneRun()).data
	data[len(data)/2] ^= 1
	path := saved(t, data)
	j, err := Open(path, Options{})
	if j != nil || !errors.Is(err, ErrDamaged) || !strings.HasPrefix(err.Error(), path+": record ") {
		t.Fatalf("error is %v", err)
	}
	after, _ := os.ReadFile(path)
	if diff := cmp.Diff(data, after); diff != "" {
		t.Errorf("the file was changed: %s", diff)
	}
}
