package store_test

import (
	"fmt"
	"os"
	"path/filepath"

	"candelua/engine/result"
	"candelua/engine/store"
)

func Example() {
	out, err := os.MkdirTemp("", "runs")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(out)

	run, err := store.Create(out, "window-sweep")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer run.Close()
	fmt.Println(filepath.Base(run.Path()), filepath.Base(run.JournalPath()))

	_ = run.WriteMeta(map[string]any{"procedure": "window-sweep", "unit": "Crake 2", "mode": "Dusk"})
	_ = run.AddProcedure("window-sweep.lua", []byte("return procedure {}\n"))
	_ = run.WriteResults(result.New())

	fmt.Println(run.AddProcedure("../window-sweep.lua", nil) != nil)
	_, err = store.Open(filepath.Join(out, "window-sweep-2"))
	fmt.Println(err != nil)
	// Output:
	// window-sweep-1 journal.jsonl
	// true
	// true
}
