package journal

import (
	"bytes"
	"errors"
	"testing"
)

// FuzzRead reads anything. What is refused must say a record within the lines that are there; what is
// accepted must be accepted again, and say the same, when it is written from its records. Each input is also
// read with its sums put right, which lets the fuzzer past them.
func FuzzRead(f *testing.F) {
	for _, records := range [][]Record{nil, doneRun(), mendedRun(), join(open(1), step(1), closing(1), step(2), void(1), step(1))} {
		data := built(f, records).data
		f.Add(data)
		f.Add(data[:len(data)-9])
		f.Add(append(bytes.Clone(data), data[len(data)/2:]...))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		readAnything(t, data)
		for _, line := range lines(data) {
			if len(line) <= tailLen {
				return
			}
		}
		readAnything(t, resealed(data))
	})
}

func readAnything(t *testing.T, data []byte) {
	j, err := parse("fuzzed", data)
	var v *VersionError
	var d *DamageError
	switch {
	case errors.As(err, &v):
		return
	case errors.As(err, &d):
		if most := bytes.Count(data, []byte("\n")) + 1; d.Record < 1 || d.Record > most {
			t.Fatalf("%v, of %d", err, most)
		}
		return
	case err != nil:
		t.Fatalf("error is of no known type: %v", err)
	}
	if len(j.data)+j.Torn() != len(data) {
		t.Fatalf("%d bytes read and %d torn, of %d", len(j.data), j.Torn(), len(data))
	}
	again, err := Memory(j.head)
	if err != nil {
		t.Fatalf("head is read and not written: %v", err)
	}
	for n, r := range j.All() {
		if n == 1 {
			continue
		}
		if err := again.Append(r); err != nil {
			t.Fatalf("record %d is read and not written: %v", n, err)
		}
	}
	sameView(t, j, again)
}

// sameView compares what two journals say. Their bytes may differ where JSON has two spellings.
func sameView(t *testing.T, a, b *Journal) {
	if a.Steps() != b.Steps() || a.Records() != b.Records() || a.Unanswered() != b.Unanswered() || len(a.Blocks()) != len(b.Blocks()) {
		t.Fatalf("written again, %d steps became %d", a.Steps(), b.Steps())
	}
	for n := 1; n <= a.Steps(); n++ {
		s, err := a.Step(n)
		u, err2 := b.Step(n)
		if err != nil || err2 != nil || s.Name != u.Name || s.Record != u.Record || !bytes.Equal(s.Answer, u.Answer) || len(s.Samples) != len(u.Samples) {
			t.Fatalf("written again, step %+v became %+v", s, u)
		}
	}
}
