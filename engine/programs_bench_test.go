//go:build unix

package engine_test

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/driver/child"
	"candelua/engine/driver/command"
	"candelua/engine/operator"
)

// BenchmarkProgram is a run of fifty readings, ten in each step, by a program that takes 0.1 s for each. "over" is what the
// run takes beyond that, in percent.
func BenchmarkProgram(b *testing.B) {
	file, err := bench.ParseFile(filepath.Join(b.TempDir(), "b.toml"), []byte(`[meter]
driver = "command"
[meter.options]
run = ["sh", "-c", "while read l; do sleep 0.1; echo took; echo Y=100; done"]
keep = true
send = "r"
reply = ["took", "Y={Y}"]
[patches]
driver = "command"
[patches.options]
run = ["sh", "-c", "while read l; do :; done"]
keep = true
send = "{red} {green} {blue} {window}"
`))
	if err != nil {
		b.Fatal(err)
	}
	const readings = 50
	for b.Loop() {
		s := simSpec(b, procedureOf(`for i = 1, 5 do patches.show { grey = i / 5 } meter.read { repeats = 10 } end`))
		s.Bench = file.WithHands(bench.KindUnit, bench.KindOperator)
		s.Openers = bench.Openers{"command": command.Opener(new(child.Keeper), nil), "operator": operator.New(nil, operator.Options{AssumeYes: true})}
		s.Texts = map[string]string{"bench": "programs"}
		began := time.Now()
		if _, err := engine.Run(context.Background(), s); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(100*(time.Since(began).Seconds()/(readings*0.1)-1), "%over")
	}
}
