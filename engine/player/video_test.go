package player

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/testdata/campaign"
)

// videosOnly skips where no videos are made: they need a program, and seconds.
func videosOnly(t testing.TB) {
	t.Helper()
	if !campaign.Full() {
		t.Skip("brief: videos are made with CI=1")
	}
	campaign.Needs(t, "ffmpeg", "install ffmpeg")
}

// decoded are all frames of a video as samples, as ffmpeg reads them.
func decoded(t testing.TB, path, form string) []byte {
	t.Helper()
	out, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-f", "rawvideo", "-pix_fmt", form, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// probed is what ffprobe says of a video and its first frame.
func probed(t testing.TB, path string) string {
	t.Helper()
	out, err := exec.Command("ffprobe", "-v", "error", "-show_streams", "-show_frames", "-read_intervals", "%+#1", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// colourAt is the signal at a pixel of a picture that is painted rectangle by rectangle.
func colourAt(e Entry, x, y int) (rgb [3]float64) {
	for _, r := range e.picture.Rects {
		if x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H {
			for i, c := range r.Code {
				rgb[i] = float64(c) / (math.Pow(2, float64(e.Bits)) - 1)
			}
		}
	}
	return rgb
}

// limited are the codes of a signal by the equations of BT.709-6 and BT.2020-2, in their printed form.
func limited(s bench.Signal, rgb [3]float64) [3]int {
	y, cb, cr := 0.2126*rgb[0]+0.7152*rgb[1]+0.0722*rgb[2], 1.8556, 1.5748
	if s != bench.SDR {
		y, cb, cr = 0.2627*rgb[0]+0.6780*rgb[1]+0.0593*rgb[2], 1.8814, 1.4746
	}
	luma := int(math.Floor((219*y+16)*4 + 0.5))
	return [3]int{luma, int(math.Floor((224*(rgb[2]-y)/cb+128)*4 + 0.5)), int(math.Floor((224*(rgb[0]-y)/cr+128)*4 + 0.5))}
}

// Every frame of each video is decoded by ffmpeg, and has at each pixel the codes that the equations of the standards give for what
// was asked; and the codes beside the file are those of its window.
func TestVideosDecodeToTheCodes(t *testing.T) {
	videosOnly(t)
	r := rand.New(rand.NewPCG(5, 6))
	const w, h, seconds = 80, 46, 2
	var patches []bench.Patch
	for len(patches) < 7 {
		if p := randomPatch(r); p.Space == bench.Plain {
			patches = append(patches, p)
		}
	}
	dir := filepath.Join(t.TempDir(), "p")
	plan := planned(t, Layout{Form: Video, Width: w, Height: h}, askedFor(patches...))
	made(t, dir, Making{Plan: plan, Length: seconds})
	for _, e := range plan.Entries {
		raw := decoded(t, filepath.Join(dir, e.File), "yuv420p10le")
		const frame = w*h*2 + 2*(w/2)*(h/2)*2
		if len(raw) != frame*24*seconds {
			t.Fatalf("%s has %d frames", e.File, len(raw)/frame)
		}
		at := func(i int) int { return int(binary.LittleEndian.Uint16(raw[2*i:])) }
		for y := range h {
			for x := range w {
				c := w*h + y/2*(w/2) + x/2
				got := [3]int{at(y*w + x), at(c), at(c + w/2*(h/2))}
				if want := limited(e.Patch.Signal, colourAt(e, x, y)); got != want {
					t.Fatalf("%s at %d, %d: codes %v, want %v", e.File, x, y, got, want)
				}
			}
		}
		for f := range 24 * seconds {
			if !bytes.Equal(raw[f*frame:(f+1)*frame], raw[:frame]) {
				t.Fatalf("%s: frame %d is another than the first", e.File, f+1)
			}
		}
		if e.Patch.Pattern.Kind == bench.Window {
			if want := limited(e.Patch.Signal, e.picture.RGB); *e.YCbCr != want {
				t.Errorf("%s is listed with %v, want %v", e.File, *e.YCbCr, want)
			}
		}
		said := probed(t, filepath.Join(dir, e.File))
		want := map[bench.Signal]string{bench.SDR: "color_transfer=bt709", bench.PQ: "color_transfer=smpte2084", bench.HLG: "color_transfer=arib-std-b67"}[e.Patch.Signal]
		for _, word := range []string{want, "profile=Main 10", "color_range=tv", "codec_tag_string=hvc1", "level=153", "r_frame_rate=24/1"} {
			if !strings.Contains(said, word) {
				t.Errorf("%s lacks %s", e.File, word)
			}
		}
		if stated := e.Patch.Metadata.MaxCLL > 0; strings.Contains(said, "Content light level metadata") != stated {
			t.Errorf("%s: content light level stated %v", e.File, !stated)
		}
		if stated := e.Patch.Metadata.MasteringPeak > 0; strings.Contains(said, "max_luminance=10000000/10000") != stated {
			t.Errorf("%s: mastering display stated %v", e.File, !stated)
		}
	}
}

// A lossless video holds red, green and blue as they were asked for.
func TestLosslessVideosHoldTheCodes(t *testing.T) {
	videosOnly(t)
	r := rand.New(rand.NewPCG(7, 8))
	const w, h = 61, 35
	dir := filepath.Join(t.TempDir(), "p")
	var patches []bench.Patch
	for len(patches) < 5 {
		if p := randomPatch(r); p.Space == bench.Plain && p.Bits <= 12 {
			patches = append(patches, p)
		}
	}
	plan := planned(t, Layout{Form: Lossless, Width: w, Height: h}, askedFor(patches...))
	made(t, dir, Making{Plan: plan, Length: 1})
	for _, e := range plan.Entries {
		form, top := "gbrp10le", 1023.0
		switch {
		case e.Bits <= 8:
			form, top = "gbrp", 255
		case e.Bits > 10:
			form, top = "gbrp12le", 4095
		}
		raw := decoded(t, filepath.Join(dir, e.File), form)
		size := 2
		if top == 255 {
			size = 1
		}
		if len(raw) != 3*w*h*size*24 {
			t.Fatalf("%s has %d bytes", e.File, len(raw))
		}
		for y := range h {
			for x := range w {
				want := colourAt(e, x, y)
				for plane, channel := range []int{1, 2, 0} {
					i := (plane*h+y)*w + x
					got := int(raw[i*size])
					if size == 2 {
						got = int(binary.LittleEndian.Uint16(raw[i*2:]))
					}
					if float64(got) != math.Floor(want[channel]*top+0.5) {
						t.Fatalf("%s at %d, %d: channel %d is %d, want %v", e.File, x, y, channel, got, want[channel]*top)
					}
				}
			}
		}
	}
}

// The checks find a video whose frames are others than asked for, or too few.
func TestChecksFindWrongVideos(t *testing.T) {
	videosOnly(t)
	l := Layout{Form: Video, Width: 64, Height: 36}
	plan := planned(t, l, askedFor(white(10), white(20)))
	m := Making{Plan: plan, clips: map[string]clip{}}
	dir := t.TempDir()
	a, err := m.clipOf(t.Context(), dir, l, &plan.Entries[0])
	if err != nil {
		t.Fatal(err)
	}
	b, err := m.clipOf(t.Context(), dir, l, &plan.Entries[1])
	if err != nil {
		t.Fatal(err)
	}
	other := l.rasterOf(plan.Entries[1].Patch, plan.Entries[1].picture)
	if err := decodes(t.Context(), a.path, other); err == nil || !strings.Contains(err.Error(), "frame 1 of the video is decoded to other codes") {
		t.Error(err)
	}
	right := l.rasterOf(plan.Entries[0].Patch, plan.Entries[0].picture)
	right.bytes[len(right.bytes)/2]++ // one code by one
	if err := decodes(t.Context(), a.path, right); err == nil {
		t.Error("one wrong code is not found")
	}
	path := filepath.Join(dir, "x.mp4")
	swapped := a
	swapped.path = b.path
	if err := joined(t.Context(), path, []piece{{swapped, 2}}); err == nil || !strings.Contains(err.Error(), "is not the one that was checked") {
		t.Error(err)
	}
	if err := joined(t.Context(), path, []piece{{a, 1}, {b, 2}, {a, 1}}); err != nil {
		t.Error(err)
	}
}

func TestWithoutFFmpeg(t *testing.T) {
	plan := planned(t, Layout{Form: Video, Width: 16, Height: 18}, askedFor(white(10)))
	home := t.TempDir()
	t.Setenv("PATH", home)
	write := func() error {
		_, err := Write(context.Background(), filepath.Join(home, "p"), Making{Plan: plan})
		return err
	}
	if err := write(); err == nil || !strings.Contains(err.Error(), "videos need the program ffmpeg") || !strings.Contains(fault.HintOf(err), "install ffmpeg") {
		t.Error(err)
	}
	if err := os.WriteFile(filepath.Join(home, "ffmpeg"), []byte("#!/bin/sh\necho \"Unknown encoder 'libx265'\" >&2\nexit 1\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := write(); err == nil || !strings.Contains(err.Error(), "Unknown encoder 'libx265'") || !strings.Contains(fault.HintOf(err), "libx265") {
		t.Error(err)
	}
	if left := names(t, home); len(left) != 1 {
		t.Errorf("left %q", left)
	}
}

// The video of a whole procedure, decoded, has in each second the codes of the field or the patch that the schedule names.
func TestTimedVideoPlaysTheSchedule(t *testing.T) {
	videosOnly(t)
	l := Layout{Form: Video, Width: 48, Height: 32}
	plan := planned(t, l, []Asked{{Patch: white(10), Stays: 1}, {Patch: white(50), Stays: 4}, {Patch: white(10), Stays: 2}, {Patch: white(90), Resumed: true}})
	dir := filepath.Join(t.TempDir(), "p")
	in := made(t, dir, Making{Plan: plan, Length: 1, Timed: &TimedOptions{Field: 2}})
	raw := decoded(t, filepath.Join(dir, timedFile), "yuv420p10le")
	frame := l.rasterOf(plan.Entries[0].Patch, plan.Entries[0].picture).bytes
	// By hand: fields of 6, 3, 2, 4 and 3 s; then 6 s, the least; 1.5·4 + 4 = 10 s; and 1.5·2 + 4 = 7 s and a minute.
	var want [][]byte
	for _, part := range []struct {
		p       bench.Patch
		seconds int
	}{{field(white(10), false), 6}, {field(white(10), true), 3}, {field(white(10), false), 2}, {field(white(10), true), 4}, {field(white(10), false), 3},
		{white(10), 6}, {white(50), 10}, {white(10), 67}} {
		pic, err := l.picture(part.p)
		if err != nil {
			t.Fatal(err)
		}
		for range part.seconds {
			want = append(want, l.rasterOf(part.p, pic).bytes)
		}
	}
	if len(raw) != len(want)*24*len(frame) || in.Timed.Seconds != len(want) || in.Timed.Holds[1] != (Hold{Number: 2, From: 24, To: 34}) {
		t.Fatalf("%d seconds, want %d: %+v", len(raw)/len(frame)/24, len(want), in.Timed)
	}
	for f := range len(want) * 24 {
		if !bytes.Equal(raw[f*len(frame):(f+1)*len(frame)], want[f/24]) {
			t.Fatalf("frame %d, of second %d, is another", f, f/24)
		}
	}
	var page strings.Builder
	if err := writePage(&page, in); err != nil || !strings.Contains(page.String(), "procedure.mp4 plays all patches one after the other, 1:41 min in all") {
		t.Errorf("%v: the page does not tell of the video", err)
	}
}
