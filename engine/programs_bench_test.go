//go:build unix

package engine_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/driver/child"
	"candelua/engine/driver/command"
	"candelua/engine/operator"
	"candelua/engine/uncertainty"
)

// asMeter is the argument with which this test program is a meter. What follows is where it writes its own time.
const asMeter = "as-a-meter-of-100-ms"

func TestMain(m *testing.M) {
	if len(os.Args) > 2 && os.Args[1] == asMeter {
		beMeter(os.Args[2])
		return
	}
	uncertainty.CollectSeldom() // the tests are thousands of short executions
	os.Exit(m.Run())
}

// beMeter takes 0.1 s for each line that it is sent, and at the end writes for how long it worked in all, from the
// line that it got to the answer that it gives: a timer of a busy machine is late, which is the instrument's own time.
func beMeter(file string) {
	var own time.Duration
	for in := bufio.NewScanner(os.Stdin); in.Scan(); {
		began := time.Now()
		time.Sleep(100 * time.Millisecond)
		own += time.Since(began)
		fmt.Println("took")
		fmt.Println("Y=100")
	}
	if err := os.WriteFile(file, []byte(fmt.Sprint(own.Seconds())), 0o600); err != nil {
		panic(err)
	}
}

// BenchmarkProgram is a run of fifty readings, ten in each step, by a program that takes 0.1 s for each, with each answer
// on the disk before the next step. "over" is what the run takes beyond the program's own time, in percent, the start and the
// end of the program included; "ms-cpu/reading" is the processor time of candelua.
func BenchmarkProgram(b *testing.B) {
	own := filepath.Join(b.TempDir(), "own")
	file, err := bench.ParseFile(filepath.Join(b.TempDir(), "b.toml"), []byte(`[meter]
driver = "command"
[meter.options]
run = [`+strconv.Quote(os.Args[0])+`, "`+asMeter+`", `+strconv.Quote(own)+`]
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
		s.Bench, s.Sync = file.WithHands(bench.KindUnit, bench.KindOperator), true
		s.Openers = bench.Openers{"command": command.Opener(new(child.Keeper), nil), "operator": operator.New(nil, operator.Options{AssumeYes: true})}
		s.Texts = map[string]string{"bench": "programs"}
		began, worked := time.Now(), processorTime()
		if _, err := engine.Run(context.Background(), s); err != nil {
			b.Fatal(err)
		}
		took, work := time.Since(began).Seconds(), processorTime()-worked
		text, err := os.ReadFile(own)
		if err != nil {
			b.Fatal(err)
		}
		seconds, err := strconv.ParseFloat(strings.TrimSpace(string(text)), 64)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(100*(took/seconds-1), "%over")
		b.ReportMetric(1000*work.Seconds()/readings, "ms-cpu/reading")
	}
}

// processorTime is what this process has used, without its children.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
