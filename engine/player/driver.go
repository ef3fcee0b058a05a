package player

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"candelua/engine/bench"
	"candelua/engine/plain"
)

// Name is the driver's name in a bench file.
const Name = "files"

// handWithin is the standard uncertainty of a moment that a person reports by pressing Enter (common practice, no source).
const handWithin = 500 * time.Millisecond

// Person shows the files. Package operator has one.
type Person interface {
	// Show says what to do for a patch, with the cautions of it.
	Show(ctx context.Context, p bench.Patch, what string)
	// Done asks until it is done.
	Done(ctx context.Context, ask, enter string) error
}

// Opener returns a function that opens the driver. Its options in a bench file are folder, a path that is relative
// to the bench file, and timed = true, with which the folder's video of the whole procedure is played.
func Opener(p Person) func() (bench.Driver, error) {
	return func() (bench.Driver, error) { return &driver{person: p, clock: bench.NewRealClock()}, nil }
}

type driver struct {
	person Person
	clock  bench.Clock
	video  *timed // where one is played
}

var (
	_ bench.Driver   = (*driver)(nil)
	_ bench.Timed    = (*driver)(nil)
	_ bench.Repeater = (*driver)(nil)
)

// UseClock takes the bench's clock.
func (d *driver) UseClock(c bench.Clock) { d.clock = c }

// Open reads the folder's index. It plays patches and nothing else.
func (d *driver) Open(_ context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	if k != bench.KindPatches {
		return nil, bench.Errorf(bench.CodeWrongDevice, "use it in [patches]", "files are patches; they cannot be a %s", k)
	}
	if s.Link != "" {
		return nil, bench.Errorf(bench.CodeUnsupported, "leave out link", "files have no link")
	}
	folder, plays, err := readOptions(s)
	if err != nil {
		return nil, err
	}
	in, err := Open(s.Beside(folder))
	if err != nil {
		return nil, err
	}
	id := bench.Identity{Name: "files in " + filepath.Base(folder), Driver: Name, Serial: in.sum, ByHand: true}
	one := files{driver: d, index: in, id: id}
	if !plays {
		return &one, nil
	}
	if in.Timed == nil {
		return nil, bench.Errorf(bench.CodeBadFile, "make the folder again with --timed, or leave out timed", "%s: the folder %s has no video of the whole procedure", s.At("patches.options.timed"), folder)
	}
	one.id.Name, one.id.ByHand = "video in "+filepath.Base(folder), false
	d.video = &timed{files: one, plays: in.Timed, last: -1}
	return d.video, nil
}

func readOptions(s bench.Section) (folder string, timed bool, err error) {
	const hint = "as in:  [patches.options]  folder = \"chart-patches\""
	for key, v := range s.Options {
		ok := true
		switch key {
		case "folder":
			folder, ok = v.(string)
		case "timed":
			timed, ok = v.(bool)
		default:
			return "", false, bench.Errorf(bench.CodeBadFile, hint, "%s: patches.options.%s is no option of files; there are folder and timed", s.At("patches.options."+key), key)
		}
		if !ok {
			return "", false, bench.Errorf(bench.CodeBadFile, hint, "%s: patches.options.%s is %v; folder must be a path, and timed true or false", s.At("patches.options."+key), key, v)
		}
	}
	if folder == "" {
		return "", false, bench.Errorf(bench.CodeBadFile, hint, "%s: patches.options.folder is missing; it must be the folder that candelua patches made", s.At("patches.options"))
	}
	return folder, timed, nil
}

// Again implements [bench.Repeater]: a video that plays is not taken for granted.
func (d *driver) Again() {
	if d.video != nil {
		d.video.again()
	}
}

// Close implements [bench.Driver].
func (d *driver) Close() error { return nil }

// files are patches that a person shows one by one.
type files struct {
	driver *driver
	index  *Index
	id     bench.Identity
	asked  string // the picture that the person was asked for last
	lit    bool   // and said to be on the screen
}

var (
	_ bench.Patches      = (*files)(nil)
	_ bench.Painter      = (*files)(nil)
	_ bench.Acknowledger = (*files)(nil)
)

func (f *files) About() bench.Identity { return f.id }

// Paints implements [bench.Painter]: files show whatever there can be a file of.
func (f *files) Paints(p bench.Patch) error {
	_, err := f.index.Layout.meaning(p)
	if err == nil {
		_, err = f.index.Layout.picture(p)
	}
	return err
}

// Show says which file to show, and returns at once, pending. The picture that was asked for last is not asked for again.
func (f *files) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	if ctx.Err() != nil {
		return bench.Shown{}, context.Cause(ctx)
	}
	e, there := f.index.find(p)
	if !there {
		return bench.Shown{}, f.index.missing(p)
	}
	shown := e.shown()
	shown.Lit, shown.LitWithin = f.driver.clock.Now(), handWithin
	if f.asked == e.Key { // and nothing else since
		shown.Pending = !f.lit
		return shown, nil
	}
	f.asked, f.lit = e.Key, false
	f.driver.person.Show(ctx, p, fmt.Sprintf("Please show file %d of %d, %s: %s.", e.Number, len(f.index.Patches), e.File, e.Shows))
	shown.Pending = true
	return shown, nil
}

// Acknowledge returns when the person says that the file is on the screen.
func (f *files) Acknowledge(ctx context.Context) (time.Duration, error) {
	if err := f.driver.person.Done(ctx, "Press Enter when it is on the screen.", "it is on the screen"); err != nil {
		f.asked = "" // it is said again
		return 0, err
	}
	f.lit = true
	return f.driver.clock.Now(), nil
}

// shown is what a file shows.
func (e Entry) shown() bench.Shown {
	s := bench.Shown{Area: e.Area, Codes: e.Code[:], Path: bench.PathPlayer, RGB: e.Shown}
	if e.YCbCr != nil {
		s.Codes = e.YCbCr[:]
	}
	if e.At != e.Patch.At {
		at := e.At
		s.At = &at
	}
	return s
}

// missing is the error of a patch that the folder has no file of.
func (in *Index) missing(p bench.Patch) error {
	what := "the patch with the signal " + codeText(p)
	return bench.Errorf(bench.CodeUnsupported,
		fmt.Sprintf("make the folder again with the run's own parameters, unit file and seed: candelua patches %s --to %s; a procedure that chooses patches by its readings needs another source", plain.Word(in.About.Procedure), plain.Word(in.path)),
		"the folder %s, made for %s, has no file of %s", in.path, in.About.Procedure, what)
}

func codeText(p bench.Patch) string {
	return fmt.Sprintf("%.4g, %.4g, %.4g (%s), window %.4g %%", p.RGB[0], p.RGB[1], p.RGB[2], p.Signal, p.Window)
}
