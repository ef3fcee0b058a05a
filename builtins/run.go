package builtins

import (
	"context"
	"encoding/json"
	"hash/fnv"
	"math/rand/v2"

	"candelua/engine/script"
)

func runModule() *script.Module {
	return &script.Module{Name: "run", Help: "The run itself: its parts, its decisions, its chance.",
		Funcs: []*script.Func{
			script.Scope("run.part", "calls a function as a named stretch of the run", func(c *script.Call, a blockArgs) (script.Passed, error) {
				return part(c, a, false)
			}),
			script.Scope("run.unbroken", "calls a function that must not be interrupted and taken up again", func(c *script.Call, a blockArgs) (script.Passed, error) {
				return part(c, a, true)
			}),
			script.Step("run.decide", "keeps a choice made from readings in the journal and gives it back", decideLive, decideDerive, script.Device(""), script.Checking(decideCheck)),
			script.Pure("run.shuffle", "a list in an order that follows from the run's seed and the name", shuffle),
		},
		Consts: []script.Const{
			{Name: "mode", Help: "the unit's mode that the run is about", Get: func(c *script.Call) any { return c.Host().Mode }},
			{Name: "simulated", Help: "whether the bench is simulated", Get: func(c *script.Call) any { return c.Host().Simulated }},
		},
	}
}

type blockArgs struct {
	Name string          `lua:"name" pos:"1" help:"what it is called in the record"`
	Run  script.Function `lua:"run" pos:"2" help:"function() … end"`
}

func part(c *script.Call, a blockArgs, unbroken bool) (out script.Passed, err error) {
	err = enclose(c, a.Name, unbroken, func() error {
		out = c.Pass(a.Run)
		return nil
	})
	return out, err
}

// enclose marks a stretch of the run. An error of the script inside passes
// through as a panic of the interpreter; the stretch is then over too.
func enclose(c *script.Call, name string, unbroken bool, inside func() error) error {
	block, err := c.Door().Open(c.Context(), name, unbroken, c.Where())
	if err != nil {
		return err
	}
	s := sceneOf(c)
	s.parts = append(s.parts, name)
	failed := true
	defer func() {
		s.parts = s.parts[:len(s.parts)-1]
		if failed && c.Context().Err() == nil {
			// Left by an error of the script, which goes on its way.
			_ = c.Door().Close(block, true)
		}
	}()
	if err := inside(); err != nil {
		return err
	}
	failed = false
	return c.Door().Close(block, false)
}

type decideArgs struct {
	Name  string `lua:"name" pos:"1" help:"what is decided"`
	Value any    `lua:"value" pos:"2" match:"no" want:"a number, a word, true or false, or a table of them" help:"the choice"`
}

type decision struct {
	Value any `json:"value"`
}

func decideCheck(a decideArgs) error {
	wrong := &script.ArgError{Arg: "value", Got: script.Show(a.Value), Want: "a finite number, a word, true or false, or a table of them"}
	if _, isObject := a.Value.(script.Named); isObject {
		return wrong
	}
	if _, err := json.Marshal(a.Value); err != nil { // nan and infinities
		return wrong
	}
	return nil
}

func decideLive(_ context.Context, _ *script.Call, a decideArgs) (decision, error) {
	return decision{a.Value}, nil
}

func decideDerive(_ *script.Call, _ decideArgs, w decision) (any, error) { return w.Value, nil }

type shuffleArgs struct {
	Name string         `lua:"name" pos:"1" help:"the stream of chance; another name, another order"`
	List []script.Value `lua:"list" pos:"2" help:"what is put in order; the list itself is left as it is"`
}

// shuffle draws from a stream of its own for each name, so that an edit
// elsewhere cannot move it.
func shuffle(c *script.Call, a shuffleArgs) ([]script.Value, error) {
	h := fnv.New64a()
	h.Write([]byte(a.Name))
	r := rand.New(rand.NewPCG(c.Host().Seed, h.Sum64()))
	list := a.List // made for this call
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list, nil
}
