package result

import (
	"fmt"
)

// Before finds what a value was recorded as in earlier results: under its id or, where
// that is not there, under one of its former ids.
func (r *Results) Before(v *Value) (*Value, bool) {
	for _, id := range append([]string{v.ID}, v.Formerly...) {
		if was, ok := r.ValueByID(id); ok {
			return was, true
		}
	}
	return nil, false
}

// ValueNow returns the value that has an id now or had it formerly, and whether there
// is one.
func (r *Results) ValueNow(id string) (*Value, bool) {
	if v, ok := r.ValueByID(id); ok {
		return v, true
	}
	v, ok := r.former[id]
	return v, ok
}

// checkFormerly refuses former ids that could not lead to this value alone.
func (r *Results) checkFormerly(v *Value) error {
	if other, ok := r.former[v.ID]; ok {
		return fmt.Errorf("has the id %q, which is %w as a former id of the value %q%s; give another name, or an id of its own",
			v.ID, ErrTaken, other.Name, at(other.Where))
	}
	given := map[string]bool{v.ID: true}
	for _, id := range v.Formerly {
		if id == "" || ID(id) != id {
			return fmt.Errorf("has the former id %q; it must be an id, such as %q", cut(id), "peak-luminance")
		}
		if given[id] {
			return fmt.Errorf("has the id %q twice; give each former id once, and not the present one", id)
		}
		given[id] = true
		other, ok := r.ids[id]
		if !ok {
			other, ok = r.former[id]
		}
		if ok {
			return fmt.Errorf("has the former id %q, which is %w of the value %q%s; leave it out", id, ErrTaken, other.Name, at(other.Where))
		}
	}
	return nil
}

// at names a line, where there is one.
func at(where string) string {
	if where == "" {
		return ""
	}
	return " at " + where
}
