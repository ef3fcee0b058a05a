package journal_test

import (
	"encoding/json"
	"fmt"

	"candelua/engine/journal"
)

// A step is asked, its readings come in one by one, and it is answered. A reading that must not count is set
// aside, not deleted, and the step is taken again.
func Example() {
	j, err := journal.Memory(map[string]any{"procedure": "window-sweep", "unit": "Heron 6"})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range []journal.Record{
		{Kind: journal.KindAsk, Step: 1, Name: "meter.read", Device: "meter", At: "window-sweep.lua:20", T: 0.25},
		{Kind: journal.KindSample, Step: 1, Data: json.RawMessage(`{"Y":401.2}`)},
		{Kind: journal.KindAnswer, Step: 1, Data: json.RawMessage(`{"n":1}`), T: 0.75},
		{Kind: journal.KindVoid, From: 1, Reason: "the meter had slipped", T: 0.75},
		{Kind: journal.KindAsk, Step: 1, Name: "meter.read", Device: "meter", At: "window-sweep.lua:20", T: 0.75},
		{Kind: journal.KindSample, Step: 1, Data: json.RawMessage(`{"Y":512.5}`)},
		{Kind: journal.KindAnswer, Step: 1, Data: json.RawMessage(`{"n":1}`), T: 1.25},
	} {
		if err := j.Append(r); err != nil {
			fmt.Println(err)
			return
		}
	}
	s, err := j.Step(1)
	fmt.Printf("%s gave %s, asked in record %d of %d: %v\n", s.Name, s.Samples[0], s.Record, j.Records(), err)
	fmt.Println("record 3 was set aside by record", j.VoidedBy(3))
	fmt.Println(j.Append(journal.Record{Kind: journal.KindAsk, Step: 3, Name: "meter.read"}))
	// Output:
	// meter.read gave {"Y":512.5}, asked in record 6 of 8: <nil>
	// record 3 was set aside by record 5
	// journal in memory: record 9: record refused: ask of step 3, want step 2
}
