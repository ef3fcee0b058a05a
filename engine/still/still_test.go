package still_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/paint"
	"candelua/engine/still"
	"candelua/testdata/campaign"
)

func encoded(t testing.TB, p paint.Picture, what still.Meaning, m bench.Metadata) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := still.PNG(&b, p, what, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pixels paints a picture pixel by pixel, as the package paint says: later rectangles on earlier ones.
func pixels(p paint.Picture) [][3]int {
	out := make([][3]int, p.Size.Width*p.Size.Height)
	for _, r := range p.Rects {
		for y := r.Y; y < r.Y+r.H; y++ {
			for x := r.X; x < r.X+r.W; x++ {
				out[y*p.Size.Width+x] = r.Code
			}
		}
	}
	return out
}

// wanted is the sample of a code, by floating-point arithmetic: round(code * top of file / top of signal).
func wanted(code, bits int) int {
	to := 65535.0
	if bits <= 8 {
		to = 255
	}
	return int(float64(code)*to/float64(int(1)<<bits-1) + 0.5)
}

func anyPicture(t *rapid.T) paint.Picture {
	p := paint.Picture{Bits: rapid.IntRange(1, 16).Draw(t, "bits")}
	p.Size = paint.Size{Width: rapid.IntRange(1, 90).Draw(t, "width"), Height: rapid.IntRange(1, 60).Draw(t, "height")}
	for range rapid.IntRange(0, 12).Draw(t, "rectangles") {
		r := paint.Rect{X: rapid.IntRange(0, p.Size.Width).Draw(t, "x"), Y: rapid.IntRange(0, p.Size.Height).Draw(t, "y")}
		r.W, r.H = rapid.IntRange(0, p.Size.Width-r.X).Draw(t, "w"), rapid.IntRange(0, p.Size.Height-r.Y).Draw(t, "h")
		for i := range r.Code {
			r.Code[i] = rapid.IntRange(0, 1<<p.Bits-1).Draw(t, "code")
		}
		p.Rects = append(p.Rects, r)
	}
	return p
}

// same holds what Go's decoder reads against the codes.
func same(t testing.TB, file []byte, p paint.Picture) {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds() != image.Rect(0, 0, p.Size.Width, p.Size.Height) {
		t.Fatalf("it is %v", img.Bounds())
	}
	for i, code := range pixels(p) {
		var got [3]int
		switch c := img.At(i%p.Size.Width, i/p.Size.Width).(type) {
		case color.RGBA:
			got = [3]int{int(c.R), int(c.G), int(c.B)}
		case color.RGBA64:
			got = [3]int{int(c.R), int(c.G), int(c.B)}
		default:
			t.Fatalf("samples are %T", c)
		}
		if want := [3]int{wanted(code[0], p.Bits), wanted(code[1], p.Bits), wanted(code[2], p.Bits)}; got != want {
			t.Fatalf("%d bits: pixel %d is %v, want %v", p.Bits, i, got, want)
		}
	}
}

// Any picture is decoded exactly by Go's image/png, which also proves the checks of the chunks and of the compressed data.
func TestDecodesExactly(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyPicture(rt)
		what := rapid.SampledFrom([]still.Meaning{still.SRGB, still.DisplayP3, still.PQ, still.HLG}).Draw(rt, "meaning")
		m := bench.Metadata{MasteringPeak: rapid.Float64Range(0, 10000).Draw(rt, "peak"), MaxCLL: rapid.Float64Range(0, 10000).Draw(rt, "max cll")}
		file := encoded(t, p, what, m)
		same(t, file, p)
		if again := encoded(t, p, what, m); !bytes.Equal(file, again) {
			t.Fatal("the bytes differ the second time")
		}
	})
}

// All 1024 codes of 10 bits side by side, and as rows: no two become one.
func TestEveryCodeOfTenBits(t *testing.T) {
	for _, upright := range []bool{false, true} {
		p := paint.Picture{Size: paint.Size{Width: 1024, Height: 3}, Bits: 10}
		if upright {
			p.Size = paint.Size{Width: 3, Height: 1024}
		}
		for c := range 1024 {
			r := paint.Rect{X: c, W: 1, H: 3, Code: [3]int{c, 1023 - c, c ^ 0x155}}
			if upright {
				r = paint.Rect{Y: c, W: 3, H: 1, Code: r.Code}
			}
			p.Rects = append(p.Rects, r)
		}
		same(t, encoded(t, p, still.PQ, bench.Metadata{}), p)
	}
}

// ffmpeg's own decoder (libavcodec) reads the same samples.
func TestDecodesWithFFmpeg(t *testing.T) {
	campaign.Needs(t, "ffmpeg", "install ffmpeg")
	for _, bits := range []int{8, 10, 12, 16} {
		top := 1<<bits - 1
		p := paint.Picture{Size: paint.Size{Width: 321, Height: 43}, Bits: bits, Rects: []paint.Rect{
			{W: 321, H: 43, Code: [3]int{1, 2, 3}}, {X: 7, Y: 5, W: 300, H: 30, Code: [3]int{top, top / 3, top - 1}}, {X: 320, Y: 42, W: 1, H: 1, Code: [3]int{top / 2, 0, 1}},
		}}
		form := "rgb48be"
		if bits == 8 {
			form = "rgb24"
		}
		cmd := exec.Command("ffmpeg", "-v", "error", "-f", "png_pipe", "-i", "-", "-f", "rawvideo", "-pix_fmt", form, "-")
		cmd.Stdin = bytes.NewReader(encoded(t, p, still.PQ, bench.Metadata{}))
		raw, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		var want []byte
		for _, code := range pixels(p) {
			for _, c := range code {
				if bits == 8 {
					want = append(want, byte(wanted(c, bits)))
				} else {
					want = binary.BigEndian.AppendUint16(want, uint16(wanted(c, bits)))
				}
			}
		}
		if !bytes.Equal(raw, want) {
			t.Errorf("%d bits: ffmpeg reads other samples", bits)
		}
	}
}

// pythonReader reads a PNG of 16 bits with zlib and struct alone: it prints code points and, undoing the filters, samples.
const pythonReader = `
import struct, sys, zlib
f = sys.stdin.buffer.read()
assert f[:8] == b"\x89PNG\r\n\x1a\n"
at, data = 8, b""
while at < len(f):
    n, kind = struct.unpack(">I4s", f[at:at + 8])
    body = f[at + 8:at + 8 + n]
    assert zlib.crc32(kind + body) == struct.unpack(">I", f[at + 8 + n:at + 12 + n])[0]
    if kind == b"IHDR": w, h, depth = struct.unpack(">IIB", body[:9])
    if kind == b"cICP": print(*body)
    if kind == b"IDAT": data += body
    at += 12 + n
raw, row, out = zlib.decompress(data), bytes(6 * w), []
for y in range(h):
    line = raw[y * (6 * w + 1):(y + 1) * (6 * w + 1)]
    now = bytearray(line[1:])
    for i in range(len(now)):
        if line[0] == 1: now[i] = (now[i] + (now[i - 6] if i >= 6 else 0)) & 255
        elif line[0] == 2: now[i] = (now[i] + row[i]) & 255
        else: assert line[0] == 0
    row = now
    out += struct.unpack(">%dH" % (3 * w), row)
print(*out)
`

// Python's zlib and a reader of a few lines find the same samples and code points: round(code*65535/1023), and those of H.273.
func TestReadByPython(t *testing.T) {
	campaign.Needs(t, "python3", "install python3")
	p := paint.Picture{Size: paint.Size{Width: 5, Height: 4}, Bits: 10, Rects: []paint.Rect{{W: 5, H: 4, Code: [3]int{64, 940, 512}}, {X: 1, Y: 1, W: 3, H: 2, Code: [3]int{1023, 1, 700}}}}
	for what, points := range map[still.Meaning]string{still.PQ: "9 16 0 1", still.HLG: "9 18 0 1", still.DisplayP3: "12 13 0 1"} {
		cmd := exec.Command("python3", "-c", pythonReader)
		cmd.Stdin = bytes.NewReader(encoded(t, p, what, bench.Metadata{MaxCLL: 1000}))
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		around, inside := "4100 60218 32800 ", "65535 64 44843 " // 64·65535/1023 = 4099.94, 940 → 60217.89, 512 → 32799.53, 700 → 44843.11
		want := points + "\n" + strings.Repeat(around, 6) + strings.Repeat(inside, 3) + strings.Repeat(around, 2) + strings.Repeat(inside, 3) + strings.Repeat(around, 6)
		if got := strings.TrimSpace(string(out)); got != strings.TrimSpace(want) {
			t.Errorf("%s: read %s, want %s", what, got, want)
		}
	}
}

// chunks are the chunks of a file in order, by a reader of its own.
func chunks(t testing.TB, file []byte) (names []string, data map[string][]byte) {
	t.Helper()
	data = map[string][]byte{}
	if string(file[:8]) != "\x89PNG\r\n\x1a\n" {
		t.Fatal("no signature")
	}
	for rest := file[8:]; len(rest) > 0; {
		n := binary.BigEndian.Uint32(rest)
		name, body := string(rest[4:8]), rest[8:8+n]
		if crc32.ChecksumIEEE(rest[4:8+n]) != binary.BigEndian.Uint32(rest[8+n:]) {
			t.Errorf("%s fails its check", name)
		}
		names, data[name], rest = append(names, name), body, rest[12+n:]
	}
	return names, data
}

var small = paint.Picture{Size: paint.Size{Width: 4, Height: 2}, Bits: 10, Rects: []paint.Rect{{W: 4, H: 2, Code: [3]int{1, 512, 1023}}}}

// The code points are those of ITU-T H.273 (tables 2 and 3), written cICP as primaries, transfer, matrix (0, RGB) and
// full range (1): PNG third edition, 11.3.2.6, whose example for BT.2100 PQ is 9, 16, 0, 1 and for HLG 9, 18, 0, 1.
func TestCodePoints(t *testing.T) {
	for _, c := range []struct {
		what  still.Meaning
		want  []byte
		order string
	}{
		{still.SRGB, []byte{1, 13, 0, 1}, "IHDR cICP sRGB IDAT IEND"},
		{still.DisplayP3, []byte{12, 13, 0, 1}, "IHDR cICP iCCP IDAT IEND"},
		{still.PQ, []byte{9, 16, 0, 1}, "IHDR cICP mDCV cLLI IDAT IEND"},
		{still.HLG, []byte{9, 18, 0, 1}, "IHDR cICP mDCV cLLI IDAT IEND"},
	} {
		names, data := chunks(t, encoded(t, small, c.what, bench.Metadata{MasteringPeak: 1000, MaxCLL: 1000, MaxFALL: 400}))
		if !bytes.Equal(data["cICP"], c.want) || strings.Join(names, " ") != c.order {
			t.Errorf("%s: code points %v, want %v; chunks %q, want %q", c.what, data["cICP"], c.want, names, c.order)
		}
	}
}

// The values of BT.2020 in units of 0.00002 are those that HDR10 streams carry: 35400, 14600, 8500, 39850, 6550, 2300 and
// D65 as 15635, 16450 (common practice, no source); luminances are in units of 0.0001 cd/m² (PNG third edition, 11.3.2.7 and 11.3.2.8).
func TestMetadata(t *testing.T) {
	_, data := chunks(t, encoded(t, small, still.PQ, bench.Metadata{MasteringPeak: 1000, MaxCLL: 999.5, MaxFALL: 400}))
	var mastering []byte
	for _, v := range []uint16{35400, 14600, 8500, 39850, 6550, 2300, 15635, 16450} {
		mastering = binary.BigEndian.AppendUint16(mastering, v)
	}
	mastering = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(mastering, 10_000_000), 1)
	if !bytes.Equal(data["mDCV"], mastering) {
		t.Errorf("mDCV is %v, want %v", data["mDCV"], mastering)
	}
	if want := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 9_995_000), 4_000_000); !bytes.Equal(data["cLLI"], want) {
		t.Errorf("cLLI is %v, want %v", data["cLLI"], want)
	}
	names, _ := chunks(t, encoded(t, small, still.PQ, bench.Metadata{}))
	if slices.Contains(names, "mDCV") || slices.Contains(names, "cLLI") {
		t.Errorf("nothing is stated, and the chunks are %q", names)
	}
	names, _ = chunks(t, encoded(t, small, still.SRGB, bench.Metadata{MasteringPeak: 1000, MaxCLL: 100}))
	if slices.Contains(names, "mDCV") || slices.Contains(names, "cLLI") {
		t.Errorf("SDR carries %q", names)
	}
}

// The colorants are those of the profiles of this name that systems ship, to five places (from memory).
// The rest is read as ICC.1:2010 says.
func TestProfile(t *testing.T) {
	_, data := chunks(t, encoded(t, small, still.DisplayP3, bench.Metadata{}))
	name, packed, _ := bytes.Cut(data["iCCP"], []byte{0})
	z, err := zlib.NewReader(bytes.NewReader(packed[1:]))
	if err != nil {
		t.Fatal(err)
	}
	p, err := io.ReadAll(z)
	if err != nil || string(name) != "Display P3" || int(binary.BigEndian.Uint32(p)) != len(p) || string(p[36:40]) != "acsp" || string(p[12:24]) != "mntrRGB XYZ " {
		t.Fatalf("the profile %q has %d bytes, %v, head %q", name, len(p), err, p[:40])
	}
	tags := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint32(p[128:])) {
		e := p[132+12*i:]
		at, n := binary.BigEndian.Uint32(e[4:]), binary.BigEndian.Uint32(e[8:])
		if at%4 != 0 {
			t.Errorf("tag %s begins at %d", e[:4], at)
		}
		tags[string(e[:4])] = p[at : at+n]
	}
	number := func(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }
	for tag, want := range map[string][3]float64{
		"rXYZ": {0.51512, 0.24120, -0.00105}, "gXYZ": {0.29198, 0.69225, 0.04189}, "bXYZ": {0.15710, 0.06657, 0.78407}, "wtpt": {0.9642, 1, 0.8249},
	} {
		for i, w := range want {
			if got := number(tags[tag][8+4*i:]); got < w-3e-5 || got > w+3e-5 {
				t.Errorf("%s[%d] is %.6f, want %.6f", tag, i, got, w)
			}
		}
	}
	for i, w := range []float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045} { // IEC 61966-2-1
		if got := number(tags["gTRC"][12+4*i:]); got < w-1e-5 || got > w+1e-5 {
			t.Errorf("parameter %d of the curve is %.6f, want %.6f", i, got, w)
		}
	}
	if len(tags["desc"]) != 28+2*len("Display P3") || len(tags["chad"]) != 8+36 || len(tags["cprt"]) == 0 {
		t.Errorf("tags are %v", tags)
	}
}

// Little CMS, by way of ffmpeg, takes the profile for P3 with D65 and the curve of sRGB.
func TestProfileIsRecognised(t *testing.T) {
	campaign.Needs(t, "ffmpeg", "install ffmpeg")
	if list, _ := exec.Command("ffmpeg", "-hide_banner", "-filters").Output(); !bytes.Contains(list, []byte("iccdetect")) {
		t.Skip("this ffmpeg knows no ICC profiles")
	}
	cmd := exec.Command("ffmpeg", "-hide_banner", "-f", "png_pipe", "-i", "-", "-vf", "iccdetect=force=1,showinfo", "-f", "null", "-")
	cmd.Stdin = bytes.NewReader(encoded(t, small, still.DisplayP3, bench.Metadata{}))
	said, err := cmd.CombinedOutput()
	if err != nil || !bytes.Contains(said, []byte("color_primaries:smpte432")) || !bytes.Contains(said, []byte("color_trc:iec61966-2-1")) {
		t.Errorf("%v: %s", err, said)
	}
}

func TestRefused(t *testing.T) {
	ok := small
	for text, spoil := range map[string]func(*paint.Picture){
		"its size is 0 x 2":                         func(p *paint.Picture) { p.Size.Width = 0 },
		"its size is 16384 x 16385":                 func(p *paint.Picture) { p.Size = paint.Size{Width: 16384, Height: 16385} },
		"it has 17 bits":                            func(p *paint.Picture) { p.Bits = 17 },
		"it has 0 bits":                             func(p *paint.Picture) { p.Bits = 0 },
		"rectangle 1, 4 x 2 at 1, 0, does not lie":  func(p *paint.Picture) { p.Rects = []paint.Rect{{X: 1, W: 4, H: 2}} },
		"rectangle 1, 4 x 2 at 0, -1, does not lie": func(p *paint.Picture) { p.Rects = []paint.Rect{{Y: -1, W: 4, H: 2}} },
		"rectangle 1 has the code 1024; with 10":    func(p *paint.Picture) { p.Rects = []paint.Rect{{W: 4, H: 2, Code: [3]int{0, 1024, 0}}} },
		"rectangle 1 has the code -1; with 10 bits": func(p *paint.Picture) { p.Rects = []paint.Rect{{W: 4, H: 2, Code: [3]int{-1, 0, 0}}} },
	} {
		p := ok
		spoil(&p)
		var b bytes.Buffer
		err := still.PNG(&b, p, still.PQ, bench.Metadata{})
		var refused *still.Refused
		if !errors.As(err, &refused) || !strings.Contains(err.Error(), text) || b.Len() > 0 {
			t.Errorf("%v, want %q", err, text)
		}
	}
	if err := still.PNG(io.Discard, ok, "magenta", bench.Metadata{}); err == nil || !strings.Contains(err.Error(), `"magenta" is no meaning`) {
		t.Error(err)
	}
	broken := errors.New("disk full")
	if err := still.PNG(failing{broken}, ok, still.PQ, bench.Metadata{}); !errors.Is(err, broken) {
		t.Error(err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// A whole screen of 3840 x 2160 pixels, as it is written for each patch of a procedure.
func BenchmarkPNG(b *testing.B) {
	p := paint.Picture{Size: paint.Size{Width: 3840, Height: 2160}, Bits: 10, Rects: []paint.Rect{{W: 3840, H: 2160}, {X: 1313, Y: 738, W: 1214, H: 683, Code: [3]int{1023, 700, 1}}}}
	ramp := paint.Picture{Size: p.Size, Bits: 10}
	for x := range 3840 {
		ramp.Rects = append(ramp.Rects, paint.Rect{X: x, W: 1, H: 2160, Code: [3]int{x * 1023 / 3839, x * 1023 / 3839, x * 1023 / 3839}})
	}
	for name, p := range map[string]paint.Picture{"window": p, "ramp": ramp} {
		b.Run(name, func(b *testing.B) {
			size := 0
			for b.Loop() {
				size = len(encoded(b, p, still.PQ, bench.Metadata{}))
			}
			b.ReportMetric(float64(size), "bytes")
		})
	}
}

func TestMeaningOf(t *testing.T) {
	for _, c := range []struct {
		p    bench.Patch
		want still.Meaning
	}{
		{bench.Patch{Signal: bench.SDR}, still.SRGB}, {bench.Patch{Signal: bench.SDR, Space: bench.DisplayP3}, still.DisplayP3},
		{bench.Patch{Signal: bench.PQ}, still.PQ}, {bench.Patch{Signal: bench.HLG}, still.HLG},
		{bench.Patch{Signal: bench.PQ, Space: bench.DisplayP3}, ""}, {bench.Patch{}, ""},
	} {
		got, err := still.MeaningOf(c.p)
		if got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%v: %q, %v; want %q", c.p, got, err, c.want)
		}
	}
}
