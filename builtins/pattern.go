package builtins

import (
	"context"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

var patternStep = script.Step("patches.pattern", "shows a pattern that fills the screen: a checkerboard, a ramp, steps, or a ladder of separate fields; returns the time at which it was lit",
	patternLive, patternDerive, script.Requesting(patternRequest), script.Checking(func(a patternArgs) error {
		_, err := a.patch()
		return err
	}))

type patternArgs struct {
	Kind       string      `lua:"kind" one_of:"checkerboard|ramp|steps|ladder" help:"checkerboard: fields of the colour and of the background in turn; ramp: rises evenly from pixel to pixel; steps: equal bars without gaps; ladder: separate fields on the background"`
	Grey       *float64    `lua:"grey" min:"0" max:"1" help:"signal of a grey colour, from 0 to 1; if no colour is given, white"`
	RGB        *[3]float64 `lua:"rgb" min:"0" max:"1" help:"signals of red, green and blue"`
	Code       any         `lua:"code" optional:"true" want:"a whole number, or a list of three, from 0 to 2^bits - 1" help:"code value, one for all three colours or one for each; give bits too"`
	Nits       *float64    `lua:"nits" min:"0" max:"10000" unit:"cd/m2" help:"luminance of a grey colour; only with signal = \"pq\""`
	From       any         `lua:"from" optional:"true" want:"a number, or a list of three, from 0 to 1" help:"signal with which a ramp, steps or a ladder begin; they end with the colour; when left out, black"`
	Background any         `lua:"background" optional:"true" want:"a number, or a list of three, from 0 to 1" help:"signal of the other fields of a checkerboard, or around the fields of a ladder; when left out, black"`
	Columns    *int        `lua:"columns" min:"1" max:"64" help:"fields of a checkerboard from left to right; when left out, 4"`
	Rows       *int        `lua:"rows" min:"1" max:"64" help:"fields of a checkerboard from top to bottom; when left out, 4"`
	Count      *int        `lua:"count" min:"2" max:"256" help:"bars of steps, or fields of a ladder; when left out, 16"`
	Vertical   *bool       `lua:"vertical" help:"true: a ramp or steps begin at the top; when left out, at the left"`
	At         [2]float64  `lua:"at" default:"0.5,0.5" min:"0" max:"1" help:"a place in the field of a checkerboard that has the colour, from the left and from the top; the meter looks at the middle of this field, or of another pattern at this place"`
	Signal     string      `lua:"signal" default:"sdr" one_of:"sdr|pq|hlg" help:"signal format, as for patches.show"`
	Bits       int         `lua:"bits" default:"0" min:"0" max:"16" help:"bit depth of the signal; 0: the source chooses"`
	Metadata   *metadata   `lua:"metadata" help:"HDR metadata of the signal, each value in cd/m2, such as MaxCLL; only with signal = \"pq\""`
	Space      string      `lua:"space" default:"plain" one_of:"plain|display-p3" help:"colour space that the signals are meant in, as for patches.show"`
}

// given says whether an argument that only some kinds have is there.
func (a patternArgs) given(key string) bool {
	switch key {
	case "from":
		return a.From != nil
	case "background":
		return a.Background != nil
	case "columns":
		return a.Columns != nil
	case "rows":
		return a.Rows != nil
	case "count":
		return a.Count != nil
	}
	return a.Vertical != nil
}

// patternKeys are the kinds that have an argument.
var patternKeys = []struct {
	key   string
	kinds []bench.PatternKind
}{
	{"from", []bench.PatternKind{bench.Ramp, bench.Steps, bench.Ladder}},
	{"background", []bench.PatternKind{bench.Checkerboard, bench.Ladder}},
	{"columns", []bench.PatternKind{bench.Checkerboard}},
	{"rows", []bench.PatternKind{bench.Checkerboard}},
	{"count", []bench.PatternKind{bench.Steps, bench.Ladder}},
	{"vertical", []bench.PatternKind{bench.Ramp, bench.Steps}},
}

// patch is what a device is asked for.
func (a patternArgs) patch() (bench.Patch, error) {
	kind := bench.PatternKind(a.Kind)
	if err := a.fits(kind); err != nil {
		return bench.Patch{}, err
	}
	show := showArgs{Grey: a.Grey, RGB: a.RGB, Code: a.Code, Nits: a.Nits, Window: 100, At: a.At, Background: a.Background,
		Signal: a.Signal, Bits: a.Bits, Metadata: a.Metadata, Space: a.Space}
	if a.Grey == nil && a.RGB == nil && a.Code == nil && a.Nits == nil {
		white := 1.0
		show.Grey = &white
	}
	p, err := show.patch()
	if err != nil {
		return p, err
	}
	p.Pattern = bench.Pattern{Kind: kind}
	switch kind {
	case bench.Checkerboard:
		p.Pattern.Columns, p.Pattern.Rows = or(a.Columns, 4), or(a.Rows, 4)
	case bench.Steps, bench.Ladder:
		p.Pattern.Count = or(a.Count, 16)
	}
	p.Pattern.Vertical = or(a.Vertical, false)
	if a.From != nil {
		if p.Pattern.From, err = triple("from", a.From, 1); err != nil {
			return p, err
		}
	}
	if p.Pattern.Columns*p.Pattern.Rows == 1 {
		return p, &fault.ArgError{Arg: "columns", Got: "is 1, and rows is 1; a checkerboard must have two fields or more"}
	}
	return p, nil
}

// fits refuses arguments that the kind does not have.
func (a patternArgs) fits(kind bench.PatternKind) error {
	for _, k := range patternKeys {
		allowed := ""
		for i, has := range k.kinds {
			if has == kind {
				allowed = ""
				break
			}
			if i > 0 {
				allowed += " or "
			}
			allowed += declare.Show(string(has))
		}
		if allowed != "" && a.given(k.key) {
			return &fault.ArgError{Arg: k.key, Got: "is given with kind = " + declare.Show(a.Kind) + "; it is allowed only with kind = " + allowed, Tip: "remove " + k.key}
		}
	}
	return nil
}

func or[T any](given *T, otherwise T) T {
	if given == nil {
		return otherwise
	}
	return *given
}

func patternLive(ctx context.Context, c *script.Call, a patternArgs) (shownAnswer, error) {
	p, err := a.patch()
	if err != nil {
		return shownAnswer{}, err
	}
	return show(ctx, c, p)
}

func patternDerive(c *script.Call, a patternArgs, w shownAnswer) (Shown, error) {
	p, err := a.patch()
	if err != nil {
		return Shown{}, err
	}
	return showed(c, p, w)
}

func patternRequest(a patternArgs) (any, error) {
	p, err := a.patch()
	if err != nil {
		return nil, err
	}
	return p, nil
}

// meanOver is the mean of f of the signal over the screen and the three colours. share is what of the screen has the patch's own
// colour or, of a ladder, is not background.
func meanOver(p bench.Patch, share float64, f func(float64) float64) float64 {
	levels := 1
	switch p.Pattern.Kind {
	case bench.Ramp:
		levels = rampLevels
	case bench.Steps, bench.Ladder:
		levels = p.Pattern.Count
	}
	sum := 0.0
	for n := range levels {
		own := p.RGB
		if levels > 1 {
			own = p.Level(n, levels)
		}
		for i := range own {
			sum += share*f(own[i]) + (1-share)*f(p.Background[i])
		}
	}
	return sum / float64(3*levels)
}

// rampLevels is by how many levels the mean of a ramp is computed: as many as 8 bits have.
const rampLevels = 256
