package operator

import (
	"testing"

	"candelua/engine/bench"
)

func TestDescribe(t *testing.T) {
	centre := [2]float64{0.5, 0.5}
	grey := func(v float64) [3]float64 { return [3]float64{v, v, v} }
	for _, tt := range []struct {
		patch bench.Patch
		want  string
	}{
		{white, "white 100 %, window 10 % of the screen, centred, on black; SDR"},
		{bench.Patch{Window: 100, Signal: bench.SDR}, "black, full screen; SDR"},
		{bench.Patch{RGB: grey(0.5), Window: 100, Signal: bench.PQ}, "grey 50 %, full screen; HDR (PQ)"},
		{bench.Patch{RGB: grey(1), Window: 2.5, Background: grey(0.2), At: centre, Signal: bench.SDR}, "white 100 %, window 2.5 % of the screen, centred, on grey 20 %; SDR"},
		{bench.Patch{RGB: grey(1), Window: 4, At: [2]float64{0.25, 0.875}, Signal: bench.SDR}, "white 100 %, window 4 % of the screen, its centre 25 % from the left and 87.5 % from the top, on black; SDR"},
		// 8-bit and 10-bit full-range codes: 255 and 1023 at the most [BT2100].
		{bench.Patch{RGB: grey(128. / 255), Window: 100, Signal: bench.SDR, Bits: 8}, "grey 50.196 % (code 128 of 255), full screen; SDR, 8 bits"},
		{bench.Patch{RGB: [3]float64{0, 512. / 1023, 0}, Window: 100, Signal: bench.PQ, Bits: 10}, "green 50.049 % (code 512 of 1023), full screen; HDR (PQ), 10 bits"},
		{bench.Patch{RGB: grey(1), Window: 100, Signal: bench.SDR, Bits: 8}, "white 100 %, full screen; SDR, 8 bits"},
		{bench.Patch{RGB: [3]float64{1, 0, 0}, Window: 100, Signal: bench.SDR}, "red 100 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{0, 0, 0.25}, Window: 100, Signal: bench.SDR}, "blue 25 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{0, 1, 1}, Window: 100, Signal: bench.SDR}, "cyan 100 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{0.75, 0, 0.75}, Window: 100, Signal: bench.SDR}, "magenta 75 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{1, 1, 0}, Window: 100, Signal: bench.SDR}, "yellow 100 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{0.2, 0, 0.6}, Window: 100, Signal: bench.SDR}, "red 20 %, green 0 %, blue 60 %, full screen; SDR"},
		{bench.Patch{RGB: [3]float64{0.45, 0.32, 0.2646}, Window: 100, Signal: bench.SDR}, "red 45 %, green 32 %, blue 26.46 %, full screen; SDR"},
		{bench.Patch{RGB: grey(1), Window: 100, Signal: bench.PQ, Bits: 10, Metadata: bench.Metadata{MasteringPeak: 1000, MaxCLL: 800, MaxFALL: 400.5}}, "white 100 %, full screen; HDR (PQ), 10 bits, with the metadata mastering peak 1000, MaxCLL 800, MaxFALL 400.5 cd/m²"},
		{bench.Patch{RGB: grey(1), Window: 100, Signal: bench.PQ, Metadata: bench.Metadata{MaxFALL: 400}}, "white 100 %, full screen; HDR (PQ), with the metadata MaxFALL 400 cd/m²"},
		{bench.Patch{RGB: grey(0.75), Window: 100, Signal: bench.HLG, Bits: 10}, "grey 75 % (code 767 of 1023), full screen; HDR (HLG), 10 bits"},
		{bench.Patch{RGB: [3]float64{1, 0, 0}, Window: 100, Signal: bench.SDR, Space: bench.DisplayP3}, "red 100 %, full screen; SDR, a picture with the profile of Display P3"},
		{bench.Patch{RGB: grey(1), Window: 100, Signal: bench.SDR, At: [2]float64{0.1, 0.9}, Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 4, Rows: 2}},
			"a checkerboard of 4 columns and 2 rows over the full screen, white 100 % and black in turn, the field with its centre 12.5 % from the left and 75 % from the top is white 100 %; SDR"},
		{bench.Patch{RGB: grey(1), Window: 100, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Ramp}},
			"a ramp over the full screen that rises evenly from black at the left to white 100 % at the right; SDR"},
		{bench.Patch{RGB: [3]float64{0, 1, 0}, Window: 100, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Steps, Count: 16, From: [3]float64{0, 0.5, 0}, Vertical: true}},
			"16 equal bars without gaps over the full screen, from green 50 % at the top to green 100 % at the bottom, in equal steps of signal; SDR"},
		{bench.Patch{RGB: grey(15. / 255), Bits: 8, Window: 100, Signal: bench.SDR, Pattern: bench.Pattern{Kind: bench.Ladder, Count: 15, From: grey(1. / 255)}},
			"15 separate fields in rows over the full screen, on black, from grey 0.392 % (code 1 of 255) at the top left to grey 5.882 % (code 15 of 255) at the bottom right, in equal steps of signal; SDR, 8 bits"},
	} {
		if got := describe(tt.patch); got != tt.want {
			t.Errorf("%+v is told as\n    %s\nwant\n    %s", tt.patch, got, tt.want)
		}
	}
}
