package bench

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// TestCodes holds code values against the quantization of Rec. ITU-R BT.709-6, BT.2020-2 and
// BT.2100-2, from memory: narrow range has black 16, white 235 and neutral chroma 128 in
// 8 bits, four times that in 10, and its chroma reaches 16 and 240.
func TestCodes(t *testing.T) {
	white, black, red, blue, half := [3]float64{1, 1, 1}, [3]float64{}, [3]float64{1, 0, 0}, [3]float64{0, 0, 1}, [3]float64{0.5, 0.5, 0.5}
	limited := func(encoding, primaries string, bits int) *Chain {
		return &Chain{Range: "limited", Encoding: encoding, Primaries: primaries, Bits: bits}
	}
	for _, c := range []struct {
		chain *Chain
		rgb   [3]float64
		want  [3]int
	}{
		{nil, white, [3]int{255, 255, 255}},
		{nil, half, [3]int{128, 128, 128}},
		{&Chain{Range: "full", Encoding: "rgb", Bits: 10}, white, [3]int{1023, 1023, 1023}},
		{limited("rgb", "bt709", 8), white, [3]int{235, 235, 235}},
		{limited("rgb", "bt709", 8), black, [3]int{16, 16, 16}},
		{limited("rgb", "bt709", 10), white, [3]int{940, 940, 940}},
		{limited("ycbcr", "bt709", 8), white, [3]int{235, 128, 128}},
		{limited("ycbcr", "bt709", 8), red, [3]int{63, 102, 240}},
		{limited("ycbcr", "bt709", 8), blue, [3]int{32, 240, 118}},
		{limited("ycbcr", "bt2020", 10), white, [3]int{940, 512, 512}},
		{limited("ycbcr", "bt2020", 10), red, [3]int{294, 387, 960}},
		{&Chain{Range: "full", Encoding: "ycbcr", Primaries: "bt2020", Bits: 10}, black, [3]int{0, 512, 512}},
		{&Chain{Range: "full", Encoding: "ycbcr", Primaries: "bt2020", Bits: 10}, blue, [3]int{61, 1023, 471}},
	} {
		if got := c.chain.Codes(c.rgb); got != c.want {
			t.Errorf("%+v of %v gives %v, want %v", c.chain, c.rgb, got, c.want)
		}
	}
}

func TestChainInFile(t *testing.T) {
	const head = "[patches]\ndriver = \"x\"\n[patches.chain]\n"
	f, err := ParseFile("b.toml", []byte(head+"range = \"limited\"\nbits = 10\ninput = \"HDMI 2\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	if c := *f.Section(KindPatches).Chain; c != (Chain{"limited", "rgb", "bt709", "4:4:4", 10, "HDMI 2"}) {
		t.Errorf("the chain is %+v", c)
	}
	for _, c := range []struct{ line, says string }{
		{`range = "video"`, `b.toml:4: patches.chain.range is "video"; it must be one of full, limited`},
		{`bits = 7`, `b.toml:4: patches.chain.bits is 7; it must be a whole number from 8 to 16`},
		{`depth = 8`, `patches.chain.depth is unknown`},
	} {
		if _, err := ParseFile("b.toml", []byte(head+c.line+"\n")); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: the error is %v, want %s", c.line, err, c.says)
		}
	}
}

// TestReminders are what to see to before a run.
func TestReminders(t *testing.T) {
	f, err := ParseFile("b.toml", []byte("[meter]\ndriver='a'\nwarm_up='20m'\naccuracy={ date='2025-11-02' }\n[reference]\ndriver='a'\naccuracy={ date='2026-06-01' }\n[patches]\ndriver='a'\n"))
	if err != nil {
		t.Fatal(err)
	}
	today := time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC)
	want := []string{"the meter must have been on for 20 min before the first reading",
		"the certificate of the meter is of 2025-11-02, more than a year ago; have it calibrated again, or take what it states for less certain"}
	if got := f.Reminders(today); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}
