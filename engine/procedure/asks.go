package procedure

import (
	"fmt"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/sandbox"
	"candelua/engine/script"
)

// hdr are the words by which a script asks for an HDR signal.
var hdr = []string{string(bench.PQ), string(bench.HLG)}

// asksOf finds what the files of a procedure name. A module that is handed on, or the table of all globals, may
// be asked for anything.
func asksOf(c *script.Contract, files []File, modules []*script.Module) caution.Asks {
	a := caution.Asks{Own: c.Caution, Flashing: c.Flashing}
	for _, f := range files {
		named := sandbox.NamedIn(f.Source)
		a.HDR = a.HDR || slices.ContainsFunc(hdr, func(word string) bool { return named.Texts[word] })
		for _, m := range modules {
			whole := named.Whole[m.Name] || named.Whole["_G"]
			for _, fn := range m.Funcs {
				_, field, _ := strings.Cut(fn.Name, ".")
				if whole || named.Fields[m.Name][field] || named.Fields["_G"][m.Name] {
					a.Calls = append(a.Calls, fn.Name)
				}
			}
		}
	}
	return a
}

// Cautions are those of all that the procedure can ask, whatever its parameters.
func (l *Loaded) Cautions() []caution.Caution { return caution.Of(l.asks()) }

// CautionsWith are those with these parameters: where one of them chooses the signal, and none chooses HDR, the procedure is
// taken to stay with SDR. The engine finds out if it does not.
func (l *Loaded) CautionsWith(params script.Params) []caution.Caution {
	asks := l.asks()
	chosen, choice := false, false
	for i := range l.Contract.Params {
		p := &l.Contract.Params[i]
		for _, word := range hdr {
			if slices.Contains(p.OneOf, word) {
				choice = true
				chosen = chosen || strings.Contains(fmt.Sprint(params[p.Name]), word) // one word, or a list
			}
		}
	}
	asks.HDR = asks.HDR && (chosen || !choice)
	return caution.Of(asks)
}
