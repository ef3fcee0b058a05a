package scripted

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/driver"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/script"
)

// declaration is what a driver file returns: return driver { … }.
type declaration struct {
	Kind     string            `lua:"kind" one_of:"meter|patches|unit|rig" help:"the kind of instrument"`
	Title    string            `lua:"title" most:"200" help:"the instrument that it is for"`
	Settings declare.Value     `lua:"settings" optional:"true" help:"what a bench file may state in its options, typed as the params of a procedure: settings = { speed = { default = \"slow\", one_of = { \"slow\", \"fast\" }, help = \"sets the integration time\" } }"`
	Open     *declare.Function `lua:"open" help:"function(link, settings) … end; called when the link was opened, before anything else"`
	About    declare.Function  `lua:"about" help:"function(link) … end; gives what the instrument says of itself: { name = …, serial = …, firmware = … }"`
	Read     *declare.Function `lua:"read" help:"function(link, ask) … end; takes one single reading: { Y = …, x = …, y = … }"`
	Dark     *declare.Function `lua:"dark" help:"function(link) … end; measures the dark level, with the light shut out"`
	Show     *declare.Function `lua:"show" help:"function(link, ask) … end; shows a patch, and returns once it is shown"`
	Set      *declare.Function `lua:"set" help:"function(link, ask) … end; sets a control of the unit"`
	Power    *declare.Function `lua:"power" help:"function(link, ask) … end; switches the unit off or on"`
	Lamp     *declare.Function `lua:"lamp" help:"function(link, ask) … end; sets a lamp, and returns once its light is steady"`
	Turn     *declare.Function `lua:"turn" help:"function(link, ask) … end; turns the unit, and returns once it stands still"`
	Place    *declare.Function `lua:"place" help:"function(link, ask) … end; moves the meter over the screen"`
	Lux      *declare.Function `lua:"lux" help:"function(link, ask) … end; reads the illuminance: { lux = … }"`
	Resync   *declare.Function `lua:"resync" help:"function(link) … end; asks a question whose answer is known, and reads until that answer comes; needed over serial and usbtmc"`
	Close    *declare.Function `lua:"close" help:"function(link) … end; called before the link is closed"`

	params []script.Param
}

// function is what the driver does for a verb, nil where it cannot.
func (d *declaration) function(v driver.Verb) *lua.LFunction {
	fn := map[driver.Verb]*declare.Function{
		driver.Read: d.Read, driver.Dark: d.Dark, driver.Show: d.Show, driver.Set: d.Set, driver.Power: d.Power,
		driver.Lamp: d.Lamp, driver.Turn: d.Turn, driver.Place: d.Place, driver.Lux: d.Lux,
	}[v]
	if fn == nil {
		return nil
	}
	return fn.Fn
}

// verbs are what the driver can do.
func (d *declaration) verbs() (verbs []driver.Verb) {
	for _, m := range driver.Messages {
		if d.function(m.Verb) != nil {
			verbs = append(verbs, m.Verb)
		}
	}
	return verbs
}

// check refuses functions that instruments of the kind do not have, and the lack of those that they must have.
func (d *declaration) check() error {
	all := driver.VerbsOf(bench.Kind(d.Kind))
	var words []string
	for _, v := range all {
		words = append(words, string(v))
	}
	of := "the functions of a driver for " + noun(d.Kind) + " are " + strings.Join(words, ", ")
	for _, v := range d.verbs() {
		if !slices.Contains(all, v) {
			return &fault.ArgError{Arg: string(v), Got: "is given, and kind is " + fmt.Sprintf("%q", d.Kind), Tip: of}
		}
	}
	if d.Kind == string(bench.KindRig) && len(d.verbs()) == 0 {
		return &fault.ArgError{Arg: declare.TheTable, Got: "has none of the functions " + strings.Join(words, ", "), Tip: of}
	}
	if d.Kind != string(bench.KindRig) && d.function(all[0]) == nil {
		return &fault.ArgError{Arg: words[0], Got: "missing", Want: declare.FunctionWord, Tip: of}
	}
	return nil
}

func noun(kind string) string {
	if kind == string(bench.KindPatches) {
		return kind
	}
	return declare.Article(kind)
}

// Program is a driver file that was read.
type Program struct {
	file   string
	proto  *lua.FunctionProto
	lines  *sandbox.Lines
	kind   bench.Kind
	title  string // of the instrument that it is for
	params []script.Param
	// resyncs says that it can bring the instrument back in step.
	resyncs bool
}

// limits bound a driver. It works for less than a second between two contacts with its instrument.
func limits() sandbox.Limits { return sandbox.Limits{Instructions: 10_000_000} }

// What a driver may hand over at once, in bytes.
const (
	mostText   = 1 << 20
	mostHanded = 4 << 20
)

// Load reads a driver file, and touches no instrument. file is its name in messages.
func Load(ctx context.Context, file string, src []byte) (*Program, error) {
	proto, err := sandbox.Compile(file, src, limits())
	if err != nil {
		return nil, err
	}
	p := &Program{file: file, proto: proto, lines: sandbox.LinesOf("driver", src)}
	s := newSession(ctx, p, nil, nil)
	defer s.m.Close()
	if err := s.load(); err != nil {
		return nil, err
	}
	p.kind, p.title, p.params, p.resyncs = bench.Kind(s.d.Kind), s.d.Title, s.d.params, s.d.Resync != nil
	return p, nil
}

// Doubt says what is doubtful of the driver on a link, empty for nothing.
func (p *Program) Doubt(a link.Address) string {
	if a.Kind != link.TCP || p.resyncs {
		return ""
	}
	return p.file + " has no function resync: after a failure the link is opened anew, and an answer that comes late is lost with the old connection. " +
		"That holds for an instrument with a network socket of its own. A box that puts a serial port on a network keeps such an answer, which would be taken for the next one: " +
		"there, give the driver a question whose answer is known"
}

// load runs the file and takes its declaration.
func (s *session) load() error {
	out, err := s.m.Call(s.m.Load(s.p.proto), 1)
	if err != nil {
		return err
	}
	if len(out) == 1 {
		if ud, ok := out[0].(*lua.LUserData); ok {
			if d, ok := ud.Value.(*declaration); ok {
				s.d = d
				return nil
			}
		}
	}
	return &sandbox.Error{File: s.p.file, Message: "the file does not return a driver",
		Err: &fault.ArgError{Arg: "the file", Got: "does not return a driver", Tip: "end it with: return driver { … }"}}
}

// declare is the global function driver { … }.
func (s *session) declare(L *lua.LState) int {
	in := s.intake()
	v, err := declare.For(reflect.TypeFor[declaration]()).Decode(&in, []lua.LValue{L.Get(1)})
	var d declaration
	if err == nil {
		d = v.Interface().(declaration)
		err = d.check()
	}
	if err == nil {
		settings := d.Settings.V
		if settings == nil {
			settings = lua.LNil
		}
		d.params, err = script.ParamsOf(&in, "settings", settings)
	}
	if err == nil && slices.ContainsFunc(d.params, func(p script.Param) bool { return p.Name == fileKey }) {
		err = &fault.ArgError{Arg: "settings." + fileKey, Got: "cannot be a setting", Tip: "a bench file states the driver's own file by this name; use another one"}
	}
	if err != nil {
		sandbox.Raise(L, &script.CallError{Name: "driver", Err: err})
	}
	ud := L.NewUserData()
	ud.Value = &d
	L.Push(ud)
	return 1
}

func (s *session) intake() declare.Intake {
	return declare.Intake{Limits: declare.Limits{Text: mostText, Bytes: mostHanded}, Spend: s.m.Charge, Grow: s.m.Grow}
}

// otherKind is called by a file that declares something else.
func otherKind(is, command string) lua.LGFunction {
	return func(L *lua.LState) int {
		sandbox.Raise(L, &fault.ArgError{Arg: "this file", Got: "declares " + is + ", not a driver", Tip: "give it to the other command: " + command})
		return 0
	}
}
