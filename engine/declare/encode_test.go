package declare

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/sandbox"
)

func defaults() everyArgs {
	return everyArgs{Repeats: 1, Window: 100, Period: 1, Scale: 1, Signal: "sdr", Name: "x", At: [2]float64{0.5, 0.25}}
}

// nestedArgs is a table inside of the arguments.
type nestedArgs struct {
	Min  *float64 `lua:"min" help:"the least"`
	Max  float64  `lua:"max"`
	Kind string   `lua:"kind" default:"plain" one_of:"plain|fancy"`
}

// everyArgs has an argument of each type.
type everyArgs struct {
	Repeats int            `lua:"repeats" default:"1" min:"1" max:"100" help:"readings to average"`
	Window  float64        `lua:"window" default:"100" min:"0.01" max:"100" unit:"%" help:"a window is a share of the screen's area in percent"`
	Period  float64        `lua:"period" default:"1" above:"0" max:"60" unit:"s"`
	Scale   float64        `lua:"scale" default:"1" above:"0"`
	Free    float64        `lua:"free" default:"0"`
	Depth   float64        `lua:"depth" default:"0" max:"3" unit:"m"`
	Sync    bool           `lua:"sync" default:"false"`
	Signal  string         `lua:"signal" default:"sdr" one_of:"sdr|pq"`
	Name    string         `lua:"name" default:"x"`
	Limit   *float64       `lua:"limit" min:"0"`
	RGB     *[3]float64    `lua:"rgb" min:"0" max:"1"`
	At      [2]float64     `lua:"at" default:"0.5,0.25" min:"0" max:"1"`
	List    []float64      `lua:"list" optional:"true" min:"0"`
	Whole   []int          `lua:"whole" optional:"true" min:"0"`
	Words   []string       `lua:"words" optional:"true" one_of:"a|b"`
	Columns [][]string     `lua:"columns" optional:"true"`
	Nested  *nestedArgs    `lua:"nested"`
	Several []nestedArgs   `lua:"several" optional:"true"`
	Any     any            `lua:"any" optional:"true"`
	Code    any            `lua:"code" optional:"true" want:"a whole number, or a list of three"`
	Map     map[string]any `lua:"map" optional:"true"`
	Call    Function       `lua:"call" optional:"true"`
}

type mixedArgs struct {
	First  string         `lua:"first" pos:"1" help:"the question"`
	Second float64        `lua:"second" pos:"2" default:"7" min:"0" max:"9"`
	Named  float64        `lua:"named" default:"3"`
	Rest   map[string]any `lua:"*" help:"column = value"`
}

var everyPlan = For(reflect.TypeFor[everyArgs]())

// encoded is what the journal keeps of arguments.
func encoded(t testing.TB, a any) string {
	t.Helper()
	raw, err := For(reflect.TypeOf(a)).Encode(reflect.ValueOf(a))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

const everyDefault = `"repeats":1,"window":100,"period":1,"scale":1,"free":0,"depth":0,"sync":false,"signal":"sdr","name":"x"`

func TestEncode(t *testing.T) {
	half := 0.5
	for _, c := range []struct {
		edit func(*everyArgs)
		want string
	}{
		{func(*everyArgs) {}, `{` + everyDefault + `,"at":[0.5,0.25]}`},
		{func(a *everyArgs) { a.Limit = &half }, `{` + everyDefault + `,"limit":0.5,"at":[0.5,0.25]}`},
		{func(a *everyArgs) { a.List = []float64{} }, `{` + everyDefault + `,"at":[0.5,0.25],"list":[]}`},
		{func(a *everyArgs) { a.Nested = &nestedArgs{Max: 1e21, Kind: `"<é>"`} }, `{` + everyDefault + `,"at":[0.5,0.25],"nested":{"max":1e+21,"kind":"\"\u003cé\u003e\""}}`},
		{func(a *everyArgs) { a.Any = []any{1.0, "a", true, map[string]any{"b": 1.0, "a": 2.0}} }, `{` + everyDefault + `,"at":[0.5,0.25],"any":[1,"a",true,{"a":2,"b":1}]}`},
		{func(a *everyArgs) { a.Map = map[string]any{"Zoom": "off", "Adaptive": 1.0} }, `{` + everyDefault + `,"at":[0.5,0.25],"map":{"Adaptive":1,"Zoom":"off"}}`},
		{func(a *everyArgs) { a.Call = Function{Fn: new(lua.LFunction)} }, `{` + everyDefault + `,"at":[0.5,0.25]}`},
	} {
		a := defaults()
		c.edit(&a)
		got := encoded(t, a)
		if got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
		if !json.Valid([]byte(got)) {
			t.Errorf("%s is not JSON", got)
		}
	}
	rest := mixedArgs{"q", 7, 3, map[string]any{"window": 10.0, "a\"b": "x"}}
	if got, want := encoded(t, rest), `{"first":"q","second":7,"named":3,"a\"b":"x","window":10}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestEncodeRefusesWhatIsNotFinite(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for text, a := range map[string]any{
			"free: ":      everyArgs{Free: x},
			"list: ":      everyArgs{List: []float64{1, x}},
			"nested: max": everyArgs{Nested: &nestedArgs{Max: x}},
			"any: ":       everyArgs{Any: []any{x}},
			"map: Red: ":  everyArgs{Map: map[string]any{"Red": x}},
			"window: ":    mixedArgs{Rest: map[string]any{"window": x}},
		} {
			_, err := For(reflect.TypeOf(a)).Encode(reflect.ValueOf(a))
			if err == nil || !strings.HasPrefix(err.Error(), text) || !strings.Contains(err.Error(), "it must be a finite number") {
				t.Errorf("%v in %q: %v", x, text, err)
			}
		}
	}
}

// A new argument's default means 'as before', so older records match.
func TestRecallFillsInDefaults(t *testing.T) {
	type older struct {
		Window float64 `lua:"window" default:"100"`
	}
	old := json.RawMessage(encoded(t, older{Window: 10}))
	m, err := everyPlan.recall(old)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]any{"window": 10.0, "repeats": 1.0, "period": 1.0, "scale": 1.0, "free": 0.0, "depth": 0.0, "sync": false,
		"signal": "sdr", "name": "x", "at": []any{0.5, 0.25}}
	if !reflect.DeepEqual(m, want) {
		t.Errorf("recalled %v, want %v", m, want)
	}
	now := defaults()
	now.Window = 10
	if names, err := everyPlan.Differing(old, json.RawMessage(encoded(t, now))); err != nil || names != nil {
		t.Errorf("an older record differs in %v, %v", names, err)
	}
	for _, broken := range []string{``, `null`, `[1]`, `{"window":}`, `5`} {
		if m, err := everyPlan.recall(json.RawMessage(broken)); err == nil {
			t.Errorf("%q is recalled as %v", broken, m)
		}
		if _, err := everyPlan.Differing(json.RawMessage(broken), old); err == nil {
			t.Errorf("%q can be compared", broken)
		}
		if _, err := everyPlan.Differing(old, json.RawMessage(broken)); err == nil {
			t.Errorf("%q can be compared", broken)
		}
		if got, want := everyPlan.Show(json.RawMessage(broken)), "{"+broken+"}"; got != want {
			t.Errorf("%q is shown as %s", broken, got)
		}
	}
}

func TestDiffering(t *testing.T) {
	base := `{"window":10,"list":[1,2],"map":{"a":1},"name":"x"}`
	for _, c := range []struct {
		asked string
		want  []string
	}{
		{base, nil},
		{`{"name":"x","map":{"a":1},"window":1e1,"list":[1,2]}`, nil}, // order and notation do not count
		{`{"window":10.00000000999,"list":[1,2],"map":{"a":1},"name":"x"}`, nil},
		{`{"window":10.0000000101,"list":[1,2],"map":{"a":1},"name":"x"}`, []string{"window"}},
		{`{"window":10,"list":[1,2.000000001],"map":{"a":1.0000000009},"name":"x"}`, nil},
		{`{"window":10,"list":[1,2.00000001],"map":{"a":1},"name":"x"}`, []string{"list"}},
		{`{"window":10,"list":[1],"map":{"b":1},"name":"X"}`, []string{"list", "map", "name"}},
		{`{"window":10,"list":"1,2","map":[1],"name":5}`, []string{"list", "map", "name"}},
		{`{"window":"10","list":[1,2],"map":{"a":1,"b":2}}`, []string{"map", "window"}},
		{`{"window":10,"list":[1,2],"map":{"a":1},"name":"x","limit":3}`, []string{"limit"}},
		{`{"window":10,"map":{"a":1}}`, []string{"list"}}, // name is at its default
	} {
		names, err := everyPlan.Differing(json.RawMessage(base), json.RawMessage(c.asked))
		if err != nil || !slices.Equal(names, c.want) {
			t.Errorf("%s differs in %v, %v, want %v", c.asked, names, err, c.want)
		}
		back, err := everyPlan.Differing(json.RawMessage(c.asked), json.RawMessage(base))
		if err != nil || !slices.Equal(back, c.want) {
			t.Errorf("%s, the other way round, differs in %v, %v, want %v", c.asked, back, err, c.want)
		}
	}
}

func TestNear(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want bool
	}{
		{0, 0, true}, {0, math.SmallestNonzeroFloat64, false}, {1, 1 + 0.99e-9, true}, {1, 1 + 1.01e-9, false},
		{-1, 1, false}, {1e300, 1.000000000999e300, true}, {1e-300, 1.000000000999e-300, true}, {math.NaN(), math.NaN(), false},
	} {
		if near(c.a, c.b) != c.want || near(c.b, c.a) != c.want {
			t.Errorf("near(%v, %v) is %v", c.a, c.b, !c.want)
		}
	}
}

// Texts are written as the standard library writes them.
func TestAppendText(t *testing.T) {
	for c := range rune(0x180) {
		for _, s := range []string{string(c), "pq" + string(c), string([]byte{byte(c)})} {
			got, err := appendValue(nil, reflect.ValueOf(s))
			want, _ := json.Marshal(s)
			if err != nil || string(got) != string(want) {
				t.Errorf("%q is written as %s, %v, want %s", s, got, err, want)
			}
		}
	}
}

func TestShow(t *testing.T) {
	for _, c := range []struct{ kept, want string }{
		{`{}`, `{}`},
		{`{"repeats":1,"window":100.00000000001}`, `{}`}, // at their default
		{`{"repeats":2,"name":"a \"b\"","at":[0,1]}`, `{repeats=2, name="a \"b\"", at={0, 1}}`},
		{`{"sync":true,"nested":{"max":3}}`, `{sync=true, nested={["max"]=3}}`},
		{`{"unheard":1,"Other one":"x","window":5}`, `{window=5, ["Other one"]="x", ["unheard"]=1}`},
	} {
		if got := everyPlan.Show(json.RawMessage(c.kept)); got != c.want {
			t.Errorf("%s is shown as %s, want %s", c.kept, got, c.want)
		}
	}
	for want, x := range map[string]any{
		"nil": nil, "1000000": 1e6, "0.000001": 1e-6, "1e-07": 1e-7, "1e+15": 1e15, "nan": math.NaN(), "inf": math.Inf(1), "-inf": math.Inf(-1),
		`{"a", "b"}`: []string{"a", "b"}, "{1, 2}": []float64{1, 2}, "true": true, "a packed list of numbers": &Numbers{},
	} {
		if got := Show(x); got != want {
			t.Errorf("%v is shown as %s, want %s", x, got, want)
		}
	}
}

// What a script asks is kept, recalled and compared without loss.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{"{}", "{ window = 10, at = { 0, 1 } }", "{ any = { 1, { a = 'b' } } }", "{ nested = { max = 1 } }",
		"{ map = { ['Automatic brightness'] = 'off' } }", "{ repeats = '5' }", "{ list = { 1e-300, 1e300 } }", "{ name = '\\255' }"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, args string) {
		if strings.ContainsAny(args, "()") || strings.Contains(args, "end") {
			return // no calls and no loops: only constants
		}
		m := sandbox.New(t.Context(), sandbox.Limits{Instructions: 100_000, StringBytes: 1 << 16}, func(string) {}, 1)
		defer m.Close()
		proto, err := sandbox.Compile("fuzz.lua", []byte("return "+args), sandbox.DefaultLimits())
		if err != nil {
			return
		}
		values, err := m.Call(m.Load(proto), lua.MultRet)
		if err != nil {
			return
		}
		v, err := everyPlan.Decode(new(Intake), values)
		if err != nil {
			if err.Error() == "" || strings.Contains(err.Error(), "is , want") {
				t.Errorf("%s: message %q", args, err)
			}
			return
		}
		raw, err := everyPlan.Encode(v)
		if err != nil {
			return // not finite inside a table
		}
		if !json.Valid(raw) {
			t.Fatalf("%s is kept as %s, which is no JSON", args, raw)
		}
		if names, err := everyPlan.Differing(raw, append(json.RawMessage(" "), raw...)); err != nil || names != nil {
			t.Errorf("%s differs from itself in %v, %v", raw, names, err)
		}
		everyPlan.Show(raw)
	})
}

// Whatever a journal holds, reading it ends in an error or in arguments.
func FuzzRecall(f *testing.F) {
	for _, s := range []string{`{}`, `null`, `{"window":10}`, `{"at":[1]}`, `{"nested":{"max":null}}`, `{"x":1e999}`, `[`} {
		f.Add(s, `{"window":1}`)
	}
	f.Fuzz(func(t *testing.T, a, b string) {
		if _, err := everyPlan.recall(json.RawMessage(a)); err != nil {
			return
		}
		if names, err := everyPlan.Differing(json.RawMessage(a), json.RawMessage(a+" ")); err != nil || names != nil {
			t.Errorf("%s differs from itself in %v, %v", a, names, err)
		}
		one, err1 := everyPlan.Differing(json.RawMessage(a), json.RawMessage(b))
		two, err2 := everyPlan.Differing(json.RawMessage(b), json.RawMessage(a))
		if !slices.Equal(one, two) || (err1 == nil) != (err2 == nil) {
			t.Errorf("%s and %s differ in %v, %v one way and in %v, %v the other", a, b, one, err1, two, err2)
		}
		everyPlan.Show(json.RawMessage(a))
	})
}

// A new argument within a table means what it meant before it was there.
func TestNestedDefaults(t *testing.T) {
	type inner struct {
		Hold float64 `lua:"hold"`
		Bits int     `lua:"bits" default:"8"`
	}
	type outer struct {
		One  *inner  `lua:"one"`
		Many []inner `lua:"many"`
	}
	p := For(reflect.TypeFor[outer]())
	old := `{"one":{"hold":1},"many":[{"hold":2},{"hold":3,"bits":8}]}`
	now := `{"one":{"hold":1,"bits":8},"many":[{"hold":2,"bits":8},{"hold":3,"bits":8}]}`
	if names, err := p.Differing([]byte(old), []byte(now)); err != nil || len(names) > 0 {
		t.Errorf("%v differ, %v", names, err)
	}
	other := `{"one":{"hold":1,"bits":10},"many":[{"hold":2,"bits":8},{"hold":3,"bits":8}]}`
	if names, err := p.Differing([]byte(old), []byte(other)); err != nil || len(names) != 1 || names[0] != "one" {
		t.Errorf("%v differ, %v; want one", names, err)
	}
}
