package player

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"candelua/engine/bench"
)

// framesPerSecond is the frame rate of videos: each second is one group of pictures that begins anew, so that a
// video of any length is the same second again and again.
const framesPerSecond = 24

// DefaultLength is how long the video of a patch is where nobody says, in seconds.
const DefaultLength = 300

// clip is one second of a picture, coded.
type clip struct {
	path    string   // of the coded frames alone, without a container
	packets []string // sums of the frames as a container holds them
}

// video writes the video of a patch, length seconds long. It is checked twice: its second is decoded, and each frame must
// have the samples that were asked for; and the file must hold this second and nothing else.
func (m Making) video(ctx context.Context, path string, l Layout, e *Entry) error {
	c, err := m.clipOf(ctx, filepath.Dir(path), l, e)
	if err != nil {
		return err
	}
	return joined(ctx, path, []piece{{c, m.length()}})
}

func (m Making) length() int {
	if m.Length == 0 {
		return DefaultLength
	}
	return m.Length
}

// clipsFolder holds the clips while a folder is made.
const clipsFolder = ".clips"

// clipOf codes one second of a picture, and checks it.
func (m Making) clipOf(ctx context.Context, part string, l Layout, e *Entry) (clip, error) {
	dir := filepath.Join(part, clipsFolder)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return clip{}, err
	}
	c := clip{path: filepath.Join(dir, e.Key+".hevc")}
	if known, there := m.clips[e.Key]; there {
		return known, nil
	}
	r := l.rasterOf(e.Patch, e.picture)
	args := append([]string{"-f", "rawvideo", "-pix_fmt", r.form, "-video_size", fmt.Sprintf("%dx%d", l.Width, l.Height), "-framerate", fmt.Sprint(framesPerSecond), "-i", "pipe:0",
		"-vf", fmt.Sprintf("loop=loop=%d:size=1:start=0", framesPerSecond-1)}, coderArgs(l, e.Patch)...)
	if err := ffmpeg(ctx, bytes.NewReader(r.bytes), nil, append(args, "-f", "hevc", fileArg(c.path))...); err != nil {
		return c, err
	}
	if err := tidied(c.path); err != nil {
		return c, err
	}
	if err := decodes(ctx, c.path, r); err != nil {
		return c, err
	}
	one := filepath.Join(dir, e.Key+".mp4")
	if err := mux(ctx, one, []piece{{c, 1}}); err != nil {
		return c, err
	}
	var err error
	if c.packets, err = packetsOf(ctx, one); err != nil {
		return c, err
	}
	if len(c.packets) != framesPerSecond {
		return c, fmt.Errorf("a second has %d coded frames; it must have %d", len(c.packets), framesPerSecond)
	}
	m.clips[e.Key] = c
	return c, os.Remove(one)
}

// tidied writes a coded stream with start codes of three bytes. The fourth, a zero before them, would be taken for the
// end of the frame before, and a frame may not end with a zero.
//
// Source: Rec. ITU-T H.265, annex B.
func tidied(path string) error {
	coded, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	start := []byte{0, 0, 1}
	var out []byte
	for _, unit := range bytes.Split(coded, start) {
		if unit = bytes.TrimRight(unit, "\x00"); len(unit) > 0 {
			out = append(append(out, start...), unit...)
		}
	}
	return os.WriteFile(path, out, 0o600)
}

// level is the level of HEVC that a stream says it needs: 5.1 is what televisions of 3840 x 2160 pixels take at up to 60 frames a second.
// The coder itself would say 8.5 of anything that is coded without loss; a flat picture needs a small part of 5.1.
//
// Source: Rec. ITU-T H.265, table A.8, from memory.
func level(l Layout) string {
	if l.Width*l.Height > 8_912_896 {
		return "6.1"
	}
	return "5.1"
}

// coderArgs say how frames are coded: without loss, one group of pictures a second, and what the samples stand for.
//
// Source: Rec. ITU-T H.273 for the words; a mastering display in units of 0.00002 and 0.0001 cd/m², H.265, D.3.28, with the
// primaries of BT.2020 in the order green, blue, red.
func coderArgs(l Layout, p bench.Patch) []string {
	what := map[bench.Signal]string{bench.SDR: "colorprim=bt709:transfer=bt709", bench.PQ: "colorprim=bt2020:transfer=smpte2084", bench.HLG: "colorprim=bt2020:transfer=arib-std-b67"}[p.Signal]
	profile, matrix := "", "gbr:range=full"
	if l.Form == Video {
		profile = "main10"
		matrix = map[bool]string{true: "bt709:range=limited", false: "bt2020nc:range=limited"}[p.Signal == bench.SDR]
	}
	ctu := 64 // a picture is at least one of these blocks
	for ctu > min(l.Width, l.Height) {
		ctu /= 2
	}
	params := []string{fmt.Sprintf("ctu=%d", ctu), "log-level=error", "info=0", "lossless=1", "ref=1", "bframes=0", "scenecut=0", "open-gop=0", "repeat-headers=1", "aud=0",
		fmt.Sprintf("keyint=%d:min-keyint=%d", framesPerSecond, framesPerSecond), what + ":colormatrix=" + matrix}
	if peak := p.Metadata.MasteringPeak; peak > 0 {
		params = append(params, fmt.Sprintf("master-display=G(8500,39850)B(6550,2300)R(35400,14600)WP(15635,16450)L(%.0f,1)", peak*10000))
	}
	if p.Metadata.MaxCLL > 0 || p.Metadata.MaxFALL > 0 {
		params = append(params, fmt.Sprintf("max-cll=%.0f,%.0f", p.Metadata.MaxCLL, p.Metadata.MaxFALL))
	}
	args := []string{"-c:v", "libx265", "-preset", "superfast", "-x265-params", strings.Join(params, ":"), "-bsf:v", "hevc_metadata=level=" + level(l)}
	if profile != "" {
		args = append(args, "-profile:v", profile)
	}
	return args
}

// decodes decodes a second and compares each frame with the samples that were asked for.
func decodes(ctx context.Context, path string, r raster) error {
	return ffmpeg(ctx, nil, func(out io.Reader) error {
		frame := make([]byte, len(r.bytes))
		for i := range framesPerSecond {
			if _, err := io.ReadFull(out, frame); err != nil {
				return fmt.Errorf("the video has %d frames in a second; it must have %d: %w", i, framesPerSecond, io.ErrUnexpectedEOF)
			}
			if !bytes.Equal(frame, r.bytes) {
				return bench.Errorf(bench.CodeInstrument, "use another version of ffmpeg", "frame %d of the video is decoded to other codes than those that were asked for", i+1)
			}
		}
		if n, _ := out.Read(frame[:1]); n > 0 {
			return errors.New("the video has too many frames")
		}
		return nil
	}, "-nostdin", "-framerate", fmt.Sprint(framesPerSecond), "-f", "hevc", "-i", fileArg(path), "-f", "rawvideo", "-pix_fmt", r.form, "pipe:1")
}

// piece is a clip and how many seconds of it follow each other.
type piece struct {
	clip    clip
	seconds int
}

// joined writes clips one after the other as a file that players read, and checks that it holds them and nothing else.
func joined(ctx context.Context, path string, parts []piece) error {
	if err := mux(ctx, path, parts); err != nil {
		return err
	}
	packets, err := packetsOf(ctx, path)
	if err != nil {
		return err
	}
	at := 0
	for _, p := range parts {
		for range p.seconds {
			for _, want := range p.clip.packets {
				if at >= len(packets) || packets[at] != want {
					return bench.Errorf(bench.CodeInstrument, "use another version of ffmpeg", "frame %d of %s is not the one that was checked", at+1, filepath.Base(path))
				}
				at++
			}
		}
	}
	if at != len(packets) {
		return bench.Errorf(bench.CodeInstrument, "use another version of ffmpeg", "%s has %d frames; it must have %d", filepath.Base(path), len(packets), at)
	}
	return nil
}

// timescale counts the time in a container: a frame is 1000.
const timescale = 1000 * framesPerSecond

// mux puts coded seconds into a container.
func mux(ctx context.Context, path string, parts []piece) error {
	in, out := io.Pipe()
	go func() { out.CloseWithError(feed(out, parts)) }()
	defer in.Close()
	return ffmpeg(ctx, in, nil, "-framerate", fmt.Sprint(framesPerSecond), "-f", "hevc", "-i", "pipe:0", "-map", "0:v", "-c", "copy",
		"-bsf:v", fmt.Sprintf("setts=ts=N*1000:duration=1000:time_base=1/%d", timescale), // the reader of bare frames counts them slightly wrong
		"-fflags", "+bitexact", "-flags:v", "+bitexact", "-map_metadata", "-1", "-tag:v", "hvc1", "-video_track_timescale", fmt.Sprint(timescale), "-movflags", "+faststart", "-f", "mp4", fileArg(path))
}

func feed(w io.Writer, parts []piece) error {
	for _, p := range parts {
		coded, err := os.ReadFile(p.clip.path)
		if err != nil {
			return err
		}
		for range p.seconds {
			if _, err := w.Write(coded); err != nil {
				return err
			}
		}
	}
	return nil
}

// packetsOf are sums of the coded frames in a file, each of which must be shown in its turn for as long as any other.
func packetsOf(ctx context.Context, path string) (sums []string, err error) {
	err = ffmpeg(ctx, nil, func(out io.Reader) error {
		lines := bufio.NewScanner(out)
		for n := 0; lines.Scan(); {
			line := lines.Text()
			if strings.HasPrefix(line, "#") {
				continue
			}
			f := strings.Split(line, ",") // stream, dts, pts, duration, size, sum
			for i := range f {
				f[i] = strings.TrimSpace(f[i])
			}
			if len(f) < 6 || f[1] != fmt.Sprint(1000*n) || f[2] != f[1] {
				return fmt.Errorf("frame %d is not shown in its turn: %q", n+1, line)
			}
			sums = append(sums, f[5])
			n++
		}
		return lines.Err()
	}, "-nostdin", "-i", fileArg(path), "-map", "0:v", "-c", "copy", "-f", "framemd5", "pipe:1")
	return sums, err
}
