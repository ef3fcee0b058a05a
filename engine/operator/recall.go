package operator

import (
	"context"
	"slices"
	"strings"

	"candelua/engine/bench"
)

// memory is what the person was told in this process. It outlives a bench that
// is opened anew because an answer was struck: what is set already is not
// asked for twice.
type memory struct {
	settings map[string]any
}

var (
	_ bench.Recaller = (*patches)(nil)
	_ bench.Recaller = (*unit)(nil)
)

// Recall keeps the patch that a kept step showed.
func (p *patches) Recall(k bench.Kept) error {
	if patch, ok := k.Request.(bench.Patch); ok && !k.Aside {
		p.recalled = &patch
	}
	return nil
}

// Restore has the last patch shown again: whoever paused has looked at
// something else meanwhile.
func (p *patches) Restore(ctx context.Context) (*bench.Restored, error) {
	if p.recalled == nil {
		return nil, nil
	}
	shown, err := p.Show(ctx, *p.recalled)
	if err != nil {
		return nil, err
	}
	return &bench.Restored{Patch: *p.recalled, Shown: shown}, nil
}

// Recall keeps the settings that a kept step set, the last of each name.
func (u *unit) Recall(k bench.Kept) error {
	settings, _ := k.Request.([]bench.Setting)
	for _, s := range settings {
		u.recalled = slices.DeleteFunc(u.recalled, func(o bench.Setting) bool { return o.Name == s.Name })
		u.recalled = append(u.recalled, s)
	}
	return nil
}

// Restore has those settings set again that this person has not been told of.
func (u *unit) Restore(ctx context.Context) (*bench.Restored, error) {
	open := slices.DeleteFunc(slices.Clone(u.recalled), func(s bench.Setting) bool {
		told, ok := u.desk.told.settings[s.Name]
		return ok && told == s.Value
	})
	slices.SortFunc(open, func(a, b bench.Setting) int { return strings.Compare(a.Name, b.Name) })
	_, err := u.Set(ctx, open)
	return nil, err
}

// tell keeps what the person has set.
func (m *memory) tell(settings []bench.Setting) {
	for _, s := range settings {
		m.settings[s.Name] = s.Value
	}
}
