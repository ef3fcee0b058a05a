package player

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"

	"candelua/engine/bench"
)

// ffmpegName is the program that makes videos, and reads them.
const ffmpegName = "ffmpeg"

// ffmpeg runs the program. in is its standard input, nil for none; out reads its standard output, nil where it has none.
func ffmpeg(ctx context.Context, in io.Reader, out func(io.Reader) error, args ...string) error {
	path, err := exec.LookPath(ffmpegName)
	if err != nil {
		return bench.Errorf(bench.CodeUnsupported, "install ffmpeg (Debian: apt-get install ffmpeg), or write stills, without --video, --lossless and --timed", "videos need the program ffmpeg: %w", err)
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	cmd := exec.CommandContext(ctx, path, append([]string{"-hide_banner", "-v", "error", "-y"}, args...)...)
	var said bytes.Buffer
	cmd.Stdin, cmd.Stderr = in, &tail{to: &said}
	if out == nil {
		return explained(ctx, cmd.Run(), said.String())
	}
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	read := out(pipe)
	if read != nil {
		stop() // nobody reads the rest
	}
	ended := explained(ctx, cmd.Wait(), said.String())
	if read != nil && !errors.Is(read, io.ErrUnexpectedEOF) {
		return read
	}
	return errors.Join(ended, read)
}

// explained says what the program said of its failure.
func explained(ctx context.Context, err error, said string) error {
	if err == nil {
		return nil
	}
	if cause := context.Cause(ctx); cause != nil && !errors.Is(cause, context.Canceled) {
		return cause
	}
	hint := ""
	if strings.Contains(said, "Unknown encoder") {
		hint = "install an ffmpeg that has the encoder libx265, as Debian's has"
	}
	return bench.Errorf(bench.CodeInstrument, hint, "ffmpeg failed: %w: %s", err, strings.Join(strings.Fields(said), " "))
}

// tail keeps the end of what is written.
type tail struct{ to *bytes.Buffer }

const mostSaid = 1000

func (t *tail) Write(p []byte) (int, error) {
	t.to.Write(p)
	if over := t.to.Len() - mostSaid; over > 0 {
		t.to.Next(over)
	}
	return len(p), nil
}

// fileArg names a file so that nothing else is read into it.
func fileArg(path string) string { return fmt.Sprintf("file:%s", path) }
