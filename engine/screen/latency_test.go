package screen

import (
	"math"
	"strings"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

// A display that processes its picture for 600 ms is read rightly, though the script reads as soon as a patch is lit:
// the delay is measured. Where the bench file states a shorter one, the readings are those of the patch before.
func TestHiddenLatencyIsFound(t *testing.T) {
	t.Parallel()
	if !campaign.Full() {
		t.Skip("measuring the delay takes 13 s: with CI=true")
	}
	const latency, step = 600 * time.Millisecond, 2 * time.Millisecond
	for _, stated := range []bool{false, true} {
		r, f := withFake(t, Options{})
		shown := make(chan int, int(latency/step))
		done := make(chan struct{})
		t.Cleanup(func() { close(done) })
		var now = make(chan int)
		go func() { // a display: each of its frames is what was painted so long ago
			tick := time.NewTicker(step)
			defer tick.Stop()
			code := 0
			for {
				select {
				case <-tick.C:
					if len(shown) == cap(shown) {
						code = <-shown
					}
					shown <- max(f.code(200, 150), 0)
				case now <- code:
				case <-done:
					return
				}
			}
		}()
		r.eye.read = func() (x, y, z float64) {
			code := <-now
			return xyzOf([3]int{code, code, code})
		}
		r.bench = benchFile
		if !stated {
			r.bench = strings.Replace(benchFile, "delay = \"1ms\"\n", "", 1)
		}
		_, folder, rep := r.run(t, `return procedure {
  title = "Stairs", purpose = "Luminance of greys.", needs = { meter = {}, patches = {} },
  run = function()
    for code = 0, 255, 51 do
      patches.show { code = code, bits = 8 }
      record.value { name = "Grey " .. code, value = meter.read { after = 0.05 } }
    end
  end,
}`)
		if rep.Err != nil {
			t.Fatal(rep.Err)
		}
		wrong := 0
		for _, row := range columns(t, folder, "Y (cd/m2)", "green") {
			code := [3]int{}
			for i := range code {
				code[i] = int(math.Round(number(row[1]) * 255))
			}
			if _, want, _ := xyzOf(code); math.Abs(number(row[0])-want) > 1e-6*want {
				wrong++
			}
		}
		if stated != (wrong > 0) {
			t.Errorf("delay stated as none: %v; %d readings are of another patch", stated, wrong)
		}
	}
}
