package procedure

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/script"
	"candelua/engine/store"
)

// Stored compiles the scripts that a run's folder keeps, and refuses those
// that are not the ones of the journal.
func Stored(ctx context.Context, folder *store.Run, h *history.History, modules []*script.Module) (*Loaded, error) {
	in := h.Scripts()
	kept := map[string][]byte{}
	for _, s := range in.Scripts {
		src, err := keptScript(folder, s)
		if err != nil {
			return nil, err
		}
		kept[s.Name] = src
	}
	p := &Procedure{Name: h.Head.Procedure, File: in.File, Source: kept[in.File], Origin: folder.Path(), Rules: h.Head.ByRules(), Find: func(name string) ([]byte, error) {
		if src, ok := kept[name]; ok {
			return src, nil
		}
		return folder.Procedure(name)
	}}
	return Load(ctx, p, modules)
}

// keptScript finds a script by its sum: in its place or, where a crash came
// between an edit and its record, among the former ones.
func keptScript(folder *store.Run, s history.ScriptSum) ([]byte, error) {
	src, err := folder.Procedure(s.Name)
	if err == nil && history.Sum(src) == s.SHA256 {
		return src, nil
	}
	former, errFormer := folder.Former(s.Name)
	for _, src := range former {
		if history.Sum(src) == s.SHA256 {
			return src, nil
		}
	}
	if err = errors.Join(err, errFormer); err != nil {
		return nil, err
	}
	return nil, &fault.UsageError{Err: fmt.Errorf("%s in the run's folder is not the script that the run was made with", s.Name),
		Tip: "put the original back (its SHA-256 is " + s.SHA256 + "), or give the edited script with --with"}
}
