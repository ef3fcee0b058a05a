// Command dunlin is an invented source of patches, Dunlin 5, as a driver that is a program of its
// own (go doc candelua/engine/driver/process). In place of a generator it has a log.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
)

type request struct {
	ID     int64           `json:"id"`
	Method string          `json:"method"`
	Params json.RawMessage `json:"params"`
}

type problem struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

func main() {
	in := bufio.NewScanner(os.Stdin)
	in.Buffer(nil, 1<<20)
	out := json.NewEncoder(os.Stdout)
	for in.Scan() {
		var q request
		if err := json.Unmarshal(in.Bytes(), &q); err != nil {
			fmt.Fprintln(os.Stderr, "dunlin:", err)
			continue
		}
		result, failed := answer(q)
		reply := map[string]any{"jsonrpc": "2.0", "id": q.ID}
		if failed != nil {
			reply["error"] = failed
		} else {
			reply["result"] = result
		}
		if err := out.Encode(reply); err != nil {
			fmt.Fprintln(os.Stderr, "dunlin:", err)
			os.Exit(1)
		}
	}
}

func answer(q request) (any, *problem) {
	switch q.Method {
	case "open":
		return map[string]any{"protocol": 1, "name": "Dunlin 5", "serial": "12", "verbs": []string{"show"}}, nil
	case "alive":
		return struct{}{}, nil
	case "show":
		var patch struct {
			Codes  []int   `json:"codes"`
			Window float64 `json:"window"`
		}
		if err := json.Unmarshal(q.Params, &patch); err != nil {
			return nil, &problem{-32000, err.Error()}
		}
		fmt.Fprintln(os.Stderr, "shows", patch.Codes, patch.Window) // here a real driver would tell its generator
		return map[string]any{"delay": 0.02}, nil
	}
	return nil, &problem{-32001, "it cannot " + q.Method}
}
