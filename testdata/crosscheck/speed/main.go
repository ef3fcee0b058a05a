// Command speed compares the time of CIEDE2000 with general-purpose libraries
// over the same million pairs on one core, and the results with each other. It
// needs node, npm, a C compiler and Debian's liblcms2-dev, and prints a table:
//
//	go run ./testdata/crosscheck/speed
package main

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"candelua/colour"
)

const (
	pairs  = 1_000_000
	rounds = 5 // the fastest counts
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
}

func run() error {
	here := filepath.Join("testdata", "crosscheck")
	work, err := os.MkdirTemp("", "speed")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	data := randomPairs()
	if err := write(filepath.Join(work, "pairs.bin"), data); err != nil {
		return err
	}
	ours, sum := measure(data)
	fmt.Printf("CIEDE2000, %d pairs, one core, fastest of %d; %s, %s/%s\n\n", pairs, rounds, runtime.Version(), runtime.GOOS, runtime.GOARCH)
	fmt.Printf("%-28s %10s %8s  %s\n", "library", "ns a pair", "ratio", "sum of differences")
	fmt.Printf("%-28s %10.0f %8.2f  %.9f\n", "candelua/colour", ours, 1.0, sum)
	for _, other := range []struct{ name, script string }{
		{"Little CMS", `cc -O2 -o lcms speed.c -llcms2 -lm && ./lcms`},
		{"JavaScript", `npm install --silent >&2 && node speed.mjs`},
	} {
		out, err := inFolder(work, here, other.script)
		if err != nil {
			return fmt.Errorf("%s: %w", other.name, err)
		}
		for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
			var name string
			var ns, theirs float64
			if _, err := fmt.Sscan(line, &name, &ns, &theirs); err != nil {
				return fmt.Errorf("%s printed %q: %w", other.name, line, err)
			}
			fmt.Printf("%-28s %10.0f %8.2f  %.9f\n", strings.ReplaceAll(name, "_", " "), ns, ns/ours, theirs)
			if math.Abs(theirs-sum) > 1e-10*sum {
				return fmt.Errorf("%s sums to %v, and ours to %v", name, theirs, sum)
			}
		}
	}
	return nil
}

// inFolder runs a script where the files of the comparison are.
func inFolder(work, here, script string) (string, error) {
	for _, f := range []string{"package.json", "speed.c", "speed.mjs"} {
		src, err := os.ReadFile(filepath.Join(here, f))
		if err != nil {
			return "", err
		}
		if err := os.WriteFile(filepath.Join(work, filepath.Base(f)), src, 0o644); err != nil {
			return "", err
		}
	}
	cmd := exec.Command("sh", "-c", script)
	cmd.Dir, cmd.Stderr = work, os.Stderr
	out, err := cmd.Output()
	return string(out), err
}

// randomPairs are colours of the whole solid, and neighbours of them.
func randomPairs() []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	data := make([]float64, 0, 6*pairs)
	for range pairs {
		a := [3]float64{100 * r.Float64(), 200*r.Float64() - 100, 200*r.Float64() - 100}
		spread := 0.5 + 20*r.Float64()
		data = append(data, a[0], a[1], a[2], math.Abs(a[0]+spread*(r.Float64()-0.5)), a[1]+spread*(r.Float64()-0.5), a[2]+spread*(r.Float64()-0.5))
	}
	return data
}

func write(path string, data []float64) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := binary.Write(f, binary.LittleEndian, data); err != nil {
		return err
	}
	return f.Close()
}

func measure(data []float64) (ns, sum float64) {
	ns = math.Inf(1)
	for range rounds {
		began := time.Now()
		sum = 0
		for i := 0; i < len(data); i += 6 {
			sum += colour.DeltaE2000(colour.Lab{L: data[i], A: data[i+1], B: data[i+2]}, colour.Lab{L: data[i+3], A: data[i+4], B: data[i+5]})
		}
		ns = min(ns, float64(time.Since(began).Nanoseconds())/pairs)
	}
	return ns, sum
}
