package journal

import (
	"bytes"
	"errors"
	"testing"
)

// fuzzSeeds are the journals that the fuzzers begin with.
func fuzzSeeds(f *testing.F) [][]byte {
	var seeds [][]byte
	for _, records := range [][]Record{
		nil, doneRun(), mendedRun(), readStep(1, 0.25, 512.5, 2), join(open(1), step(1), closing(1), step(2), void(1), resume, step(1)),
		{{Kind: KindAside, Name: "a\n", Device: "b", Args: raw("[1]"), Data: raw("{}"), Failure: &Failure{"c", "d", "e"}, At: "f:1", ByHand: true}},
		{pause, aside, {Kind: KindEnd, Status: Paused, Reason: "stopped"}, {Kind: KindResume, PauseSeconds: 1.5, T: -1e-9}},
	} {
		seeds = append(seeds, built(f, records).data)
	}
	return seeds
}

// FuzzRead reads anything. What is refused must say a record within the lines that are there; what is
// accepted must be accepted again, and say the same, when it is written from its records.
func FuzzRead(f *testing.F) {
	for _, data := range fuzzSeeds(f) {
		f.Add(data)
		f.Add(data[:len(data)-9])
		f.Add(append(bytes.Clone(data), data[len(data)/2:]...))
	}
	f.Fuzz(readAnything)
}

// FuzzSealed is FuzzRead for records that are given their sums, so that the fuzzer gets past these and at
// fields and grammar. The head is a good one.
func FuzzSealed(f *testing.F) {
	for _, data := range fuzzSeeds(f) {
		var bodies []byte
		for _, line := range lines(data)[1:] {
			bodies = append(append(bodies, line[:len(line)-1-tailLen]...), '\n')
		}
		f.Add(bodies)
	}
	f.Fuzz(func(t *testing.T, bodies []byte) {
		data := bytes.Clone(built(t, nil).data)
		for _, body := range lines(bodies) {
			data = append(append(data, body[:len(body)-1]...), sumKey+"0123456789abcdef"+sumEnd+"\n"...)
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
		partAnything(t, data, d.Record)
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

// partAnything parts a damaged journal: what is kept and what is set aside are all there is, and what is
// kept is whole.
func partAnything(t *testing.T, data []byte, record int) {
	d, err := part("fuzzed", data)
	if record == 1 {
		if !errors.Is(err, ErrDamaged) {
			t.Fatalf("a damaged head gives %v", err)
		}
		return
	}
	if err != nil || d.Cause.Record != record || d.Kept.Records() != record-1 || d.Kept.Torn() != 0 || d.Records < 1 {
		t.Fatalf("record %d is damaged, and parting gives %+v, %v", record, d, err)
	}
	if !bytes.Equal(append(bytes.Clone(d.Kept.data), d.Tail...), data) {
		t.Fatal("parting loses bytes")
	}
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
