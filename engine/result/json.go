package result

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
)

// Format is the newest version of the JSON form of results, and JSONKind its
// kind. Version 2 has corrections, version 3 uncertainties that were drawn, version 4
// former ids of values, version 5 the word doubt, remarks on values outside of their own intervals, and why fewer
// draws were made than were to be, version 6 uncertainties that are not known, and what stands against readings behind the numbers; results without any are written as version 1, which they are.
const (
	format   = 6
	jsonKind = "candelua-results"
)

// ErrNewer is the cause of an error where a file is of a newer format than
// this program reads.
var ErrNewer = errors.New("newer than this candelua reads")

// Head is how every JSON file of a run begins.
type Head struct {
	Format int    `json:"format"`
	Kind   string `json:"kind"`
}

// Check refuses another kind of file, and a format that is not 1 to newest
// ([ErrNewer] where it is beyond).
func (h Head) Check(kind string, newest int) error {
	if h.Kind != kind {
		return fmt.Errorf("kind is %q; it must be %q", cut(h.Kind), kind)
	}
	if h.Format > newest {
		return fmt.Errorf("format is %d, %w (up to %d); update candelua", h.Format, ErrNewer, newest)
	}
	if h.Format < 1 {
		return fmt.Errorf("format is %d; it must be 1 to %d", h.Format, newest)
	}
	return nil
}

// resultsJSON is the JSON form. A reader of format 1 refuses members that it
// does not know: whoever adds one raises the format.
type resultsJSON struct {
	Head
	Values      []*Value     `json:"values"`
	Tables      []*Table     `json:"tables"`
	Plots       []Plot       `json:"plots"`
	Diagrams    []Diagram    `json:"diagrams"`
	Notes       []Note       `json:"notes"`
	Corrections []Correction `json:"corrections"` // from format 2 on
	Draws       *Draws       `json:"draws"`       // from format 3 on
}

type tableJSON struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	Where   string   `json:"where,omitempty"`
	Columns []Column `json:"columns"`
	Rows    [][]Cell `json:"rows"`
	// The uncertainties of the cells, from format 3 on.
	U    [][]*float64 `json:"u,omitempty"`
	Low  [][]*float64 `json:"low,omitempty"`
	High [][]*float64 `json:"high,omitempty"`
	// The columns whose uncertainties are not known, from format 6 on.
	NotKnown []NotKnownColumn `json:"not_known,omitempty"`
	// Remark is written for those who read the file, and found anew from the numbers.
	Remark string `json:"remark,omitempty"`
	// From format 6 on: what stands against readings behind cells, or may stand behind some.
	Doubts []doubtJSON `json:"doubts,omitempty"`
	Open   string      `json:"open,omitempty"`
}

// MarshalJSON writes {"format":1,"kind":"candelua-results","values":[…],
// "tables":[…],"plots":[…],"diagrams":[…],"notes":[…]}, and "corrections":[…] where there
// are some, with the format 2: the same bytes for the same results,
// one value, row, plot, diagram, note or correction a line, numbers in their shortest form.
func (r *Results) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	format := 1
	if len(r.corrections) > 0 {
		format = 2
	}
	if r.draws != nil {
		format = 3
	}
	if slices.ContainsFunc(r.values, func(v *Value) bool { return len(v.Formerly) > 0 }) {
		format = 4
	}
	if slices.ContainsFunc(r.notes, func(n Note) bool { return n.Level == Doubt }) || r.draws != nil && r.draws.Ended != "" || r.draws.RepeatabilityOnly() || r.remarked() {
		format = 5
	}
	if r.doubted() || r.notKnown() {
		format = 6
	}
	fmt.Fprintf(&b, "{\"format\":%d,\"kind\":%q", format, jsonKind)
	err := errors.Join(
		list(&b, "values", based(unsigned(r.values), r.draws)),
		list(&b, "tables", r.tables),
		list(&b, "plots", r.plots),
		list(&b, "diagrams", r.diagrams),
		list(&b, "notes", r.notes),
	)
	if len(r.corrections) > 0 {
		err = errors.Join(err, list(&b, "corrections", r.corrections))
	}
	if r.draws != nil {
		text, failed := encode(r.draws)
		err = errors.Join(err, failed)
		fmt.Fprintf(&b, ",\n\"draws\":%s", text)
	}
	b.WriteString("}")
	return b.Bytes(), err
}

// unsigned gives values of which none is a negative nought: a reader may take "-0"
// for a text, or for less than 0.
func unsigned(values []*Value) []*Value {
	out := make([]*Value, len(values))
	for i, v := range values {
		out[i] = v.clone()
		for _, f := range []*float64{out[i].Value, out[i].U, out[i].Bias} {
			if f != nil {
				*f = nought(*f)
			}
		}
		if between := out[i].Interval; between != nil {
			between[0], between[1] = nought(between[0]), nought(between[1])
		}
	}
	return out
}

// nought takes the sign off a negative nought.
func nought(f float64) float64 {
	if f == 0 {
		return 0
	}
	return f
}

// list writes one member of an object, each item on a line of its own.
func list[T any](b *bytes.Buffer, name string, items []T) error {
	fmt.Fprintf(b, ",\n%q:[", name)
	for i, item := range items {
		text, err := laidOut(item)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		b.Write(text)
	}
	b.WriteByte(']')
	return nil
}

// MarshalJSON writes {"id":…,"name":…,"columns":[{"name":…,"unit":…}],
// "rows":[[…]]}.
func (t *Table) MarshalJSON() ([]byte, error) {
	head, err := encode(tableJSON{ID: t.ID, Name: t.Name, Where: t.Where, Columns: t.columns})
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.Write(bytes.TrimSuffix(head, []byte(`,"rows":null}`)))
	err = list(&b, "rows", t.rows)
	if t.spreads != nil {
		err = errors.Join(err, t.spreadsJSON(&b))
	}
	if len(t.unknown) > 0 {
		err = errors.Join(err, list(&b, "not_known", t.unknown))
	}
	if remark := t.Remark(); remark != "" {
		text, failed := encode(remark)
		err = errors.Join(err, failed)
		fmt.Fprintf(&b, ",\n\"remark\":%s", text)
	}
	if len(t.doubts) > 0 {
		err = errors.Join(err, list(&b, "doubts", t.doubtsJSON()))
	}
	if t.open != "" {
		text, failed := encode(t.open)
		err = errors.Join(err, failed)
		fmt.Fprintf(&b, ",\n\"open\":%s", text)
	}
	b.WriteByte('}')
	return b.Bytes(), err
}

// UnmarshalJSON reads a table that stands alone; within results, the results
// check it.
func (t *Table) UnmarshalJSON(data []byte) error {
	var in tableJSON
	if err := strict(data, &in); err != nil {
		return err
	}
	got, err := New().table(Table{ID: in.ID, Name: in.Name, Where: in.Where, columns: in.Columns})
	if err != nil {
		return err
	}
	for _, row := range in.Rows {
		if err := got.append(row); err != nil {
			return err
		}
	}
	if err := errors.Join(got.takeSpreads(in), got.takeDoubts(in), got.takeNotKnown(in.NotKnown)); err != nil {
		return err
	}
	*t = *got
	return nil
}

// UnmarshalJSON reads what MarshalJSON writes. It refuses another kind, a
// newer format ([ErrNewer]), members that it does not know, and all that
// recording refuses. Findings are taken as they are.
func (r *Results) UnmarshalJSON(data []byte) error {
	var head Head
	if err := json.Unmarshal(data, &head); err != nil {
		return fmt.Errorf("results: %w", err)
	}
	if err := head.Check(jsonKind, format); err != nil {
		return fmt.Errorf("results: %w", err)
	}
	var in resultsJSON
	if err := strict(data, &in); err != nil {
		return fmt.Errorf("results: %w", err)
	}
	got := New()
	if err := got.fill(in); err != nil {
		return fmt.Errorf("results: %w", err)
	}
	*r = *got
	for _, t := range r.tables {
		t.room = &r.room
	}
	return nil
}

// fill records all that was read, by the same checks as a script's.
func (r *Results) fill(in resultsJSON) error {
	for _, v := range in.Values {
		if v == nil {
			return fmt.Errorf("value is null; it must be an object")
		}
		if err := r.keepValue(v); err != nil {
			return err
		}
	}
	for _, t := range in.Tables {
		if t == nil {
			return fmt.Errorf("table is null; it must be an object")
		}
		kept, err := r.table(*t)
		if err != nil {
			return err
		}
		kept.rows = nil
		for _, row := range t.rows {
			if err := kept.append(row); err != nil {
				return err
			}
		}
		kept.spreads, kept.doubts, kept.open, kept.unknown = t.spreads, t.doubts, t.open, t.unknown
	}
	r.draws = in.Draws
	for _, p := range in.Plots {
		if _, err := r.Plot(p); err != nil {
			return err
		}
	}
	for _, d := range in.Diagrams {
		if _, err := r.Diagram(d); err != nil {
			return err
		}
	}
	for _, n := range in.Notes {
		if err := r.Note(n); err != nil {
			return err
		}
	}
	for _, c := range in.Corrections {
		if _, err := r.Correction(c); err != nil {
			return err
		}
	}
	return nil
}

// laidOut keeps the lines of what lays itself out, which encode would join.
func laidOut(v any) ([]byte, error) {
	if m, ok := v.(json.Marshaler); ok {
		return m.MarshalJSON()
	}
	return encode(v)
}

// encode is json.Marshal that leaves <, > and & as they are.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// strict is json.Unmarshal that refuses members which it does not know.
func strict(data []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	return d.Decode(into)
}
