package bench

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// fileFormat is the version of the bench and the unit file that this package
// reads: the key format, which may be left out.
const fileFormat = 1

// OperatorDriver is the name of the driver where a person is the instrument.
const OperatorDriver = "operator"

// File is a bench file: which driver fills which place on the bench, and what
// is known of the instruments. A place that the file does not name is nil.
type File struct {
	name string // of the bench
	Path string // of the file, for messages; empty for a built-in bench

	meter, reference, patches, unit, rig, operator *Section
	described                                      *UnitFile // nil where nobody describes the unit
}

// Section is one place on the bench as the file describes it.
type Section struct {
	Driver     string
	Link       string        // how the driver reaches the instrument, in the driver's words
	Timeout    time.Duration // for one answer; 0: the driver's own
	Retries    *int          // after the first attempt; nil: the driver's own
	Correction string        // path of a meter's correction, as written
	Accuracy   Accuracy      // of a meter, from its certificate
	Floor      float64       // of a meter, cd/m²; 0: not stated
	WarmUp     time.Duration // of a meter: for how long it must be on before it is right; 0: not stated
	Chain      *Chain        // of patches: how their signals reach the unit; nil: not stated
	Delay      time.Duration // of patches: from painted to light; 0: not stated
	Lux        LuxAccuracy   // of a rig's light meter, from its certificate
	// Options are the keys of the section's own options table, for the
	// driver alone to judge. Values are string, bool, float64, []any and
	// map[string]any.
	Options map[string]any
	Line    int // of the file, 0 for a built-in bench

	file       string
	driverLine int
	lines      map[string]int // by path, see pathKey
}

// Where returns the file and line of the section for the head of a message
// ("bench.toml:3"), or the name of the built-in bench.
func (s Section) Where() string { return where(s.file, s.Line) }

// Beside is a path in the section, which is relative to the bench file.
func (s Section) Beside(path string) string {
	if filepath.IsAbs(path) || s.Line == 0 {
		return path
	}
	return filepath.Join(filepath.Dir(s.file), path)
}

// Program is the name of a program in the section: a path, which is relative to the bench file, or a name
// without a slash, which is searched for as a shell does.
func (s Section) Program(name string) string {
	if !strings.Contains(name, "/") {
		return name
	}
	path := s.Beside(name)
	if filepath.Base(path) == path { // a name alone would be searched for
		path = "." + string(filepath.Separator) + path
	}
	return path
}

// At returns the file and line of a key for the head of a message, such as "meter.options.run": the line of
// the table that it stands in where the file does not have it.
func (s Section) At(key string) string {
	for path := strings.Split(key, "."); len(path) > 1; path = path[:len(path)-1] {
		if line := s.lines[pathKey(path)]; line > 0 {
			return where(s.file, line)
		}
	}
	return s.Where()
}

// The built-in benches. They are shared: do not change them.
var (
	// SimFile is the bench on which every device is simulated.
	SimFile = builtIn("sim", "sim", KindMeter, KindReference, KindPatches, KindUnit, KindRig, KindOperator)
	// OperatorFile is the bench on which a person is every instrument.
	OperatorFile = builtIn("operator", OperatorDriver, KindMeter, KindPatches, KindUnit, KindRig, KindOperator)
)

// kinds lists the places in the order of the file.
var kinds = []Kind{KindMeter, KindReference, KindPatches, KindUnit, KindRig, KindOperator}

func builtIn(name, driver string, kinds ...Kind) *File {
	f := &File{name: name}
	for _, k := range kinds {
		*f.place(k) = &Section{Driver: driver, file: name}
	}
	return f
}

// place returns where f keeps the section of a kind, nil for an unknown kind.
func (f *File) place(k Kind) **Section {
	switch k {
	case KindMeter:
		return &f.meter
	case KindReference:
		return &f.reference
	case KindPatches:
		return &f.patches
	case KindUnit:
		return &f.unit
	case KindRig:
		return &f.rig
	case KindOperator:
		return &f.operator
	}
	return nil
}

// Section returns the section of a kind, nil where the bench has none.
func (f *File) Section(k Kind) *Section {
	if p := f.place(k); p != nil {
		return *p
	}
	return nil
}

// Kinds returns the places that the file fills, in the order meter, reference,
// patches, unit, rig, operator.
func (f *File) Kinds() []Kind {
	return slices.DeleteFunc(slices.Clone(kinds), func(k Kind) bool { return f.Section(k) == nil })
}

// Drivers returns the names of the drivers that the file asks for, sorted, each
// once. The command line makes sure of an opener for each.
func (f *File) Drivers() []string {
	var names []string
	for _, k := range f.Kinds() {
		names = append(names, f.Section(k).Driver)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// WithHands returns a copy of f in which a person fills those of the given
// places that the file leaves empty.
func (f *File) WithHands(kinds ...Kind) *File {
	filled := *f
	for _, k := range kinds {
		if p := filled.place(k); p != nil && *p == nil {
			*p = &Section{Driver: OperatorDriver, file: f.Path}
		}
	}
	return &filled
}

// WithUnit returns a copy of f whose unit is described.
func (f *File) WithUnit(u *UnitFile) *File {
	with := *f
	with.described = u
	return &with
}

// ParseFile reads a bench file. The name is the file's path: it heads the
// messages, and its base without ".toml" names a bench that states no name.
//
// The file is strict: an unknown key, a wrong type, a value out of its range or
// a section without a driver is an [Error] of code "bad-file" that names the
// line, what is there and what is allowed. Where several things are wrong, the
// one that comes first in the file is named.
func ParseFile(name string, src []byte) (*File, error) {
	doc, err := parseDocument(name, src)
	if err != nil {
		return nil, err
	}
	root := doc.root()
	f := &File{Path: name, name: strings.TrimSuffix(path.Base(name), ".toml")}
	root.only("a bench file", append([]string{"format", "name"}, kindNames()...))
	root.format()
	root.text("name", &f.name)
	for _, k := range kinds {
		if t := root.table(string(k)); t != nil {
			*f.place(k) = readSection(k, t)
		}
	}
	if doc.err == nil && len(f.Kinds()) == 0 {
		doc.fail(1, "write for example [meter] and below it driver = \"operator\"",
			"the bench has no device; it must have at least one of %s", list(kindNames()))
	}
	if doc.err != nil {
		return nil, doc.err
	}
	return f, nil
}

// staleAfter is for how long a certificate is taken to hold where nobody says otherwise
// (common practice, no source).
const staleAfter = 365 * 24 * time.Hour

// Reminders are what to see to before a run of these instruments, in words. today is the date by the calendar.
func (f *File) Reminders(today time.Time) (all []string) {
	for _, k := range []Kind{KindMeter, KindReference} {
		s := f.Section(k)
		if s == nil {
			continue
		}
		if s.WarmUp > 0 {
			all = append(all, fmt.Sprintf("the %s must have been on for %s before the first reading", k, inUnits(s.WarmUp)))
		}
		if date, err := time.Parse(time.DateOnly, s.Accuracy.Date); err == nil && today.Sub(date) > staleAfter {
			all = append(all, fmt.Sprintf("the certificate of the %s is of %s, more than a year ago; have it calibrated again, or take what it states for less certain", k, s.Accuracy.Date))
		}
	}
	return all
}

func kindNames() []string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = string(k)
	}
	return names
}

func readSection(k Kind, t *table) *Section {
	s := &Section{Line: t.line, file: t.doc.name, driverLine: t.lineOf("driver"), lines: t.doc.lines}
	keys := []string{"driver", "link", "timeout", "retries", "options"}
	isMeter := k == KindMeter || k == KindReference
	if isMeter {
		keys = append(keys, "correction", "floor", "warm_up", "accuracy")
	}
	if k == KindPatches {
		keys = append(keys, "chain", "delay")
	}
	if k == KindRig {
		keys = append(keys, "lux")
	}
	t.only("["+string(k)+"]", keys)
	t.required("driver", &s.Driver, `name the driver, for example driver = "operator"`)
	t.text("link", &s.Link)
	t.duration("timeout", &s.Timeout, time.Millisecond, time.Hour)
	if t.has("retries") {
		s.Retries = new(int)
		t.whole("retries", s.Retries, limits{0, 100, ""})
	}
	s.Options = t.options("options")
	if k == KindPatches {
		if c := t.table("chain"); c != nil {
			s.Chain = readChain(c)
		}
		t.duration("delay", &s.Delay, time.Millisecond, 10*time.Second)
	}
	if l := t.table("lux"); l != nil && k == KindRig {
		s.Lux.read(l)
	}
	if !isMeter {
		return s
	}
	t.text("correction", &s.Correction)
	t.number("floor", &s.Floor, limits{0, 1000, "cd/m²"})
	t.duration("warm_up", &s.WarmUp, time.Second, 24*time.Hour)
	if a := t.table("accuracy"); a != nil {
		s.Accuracy.read(k, a)
	}
	return s
}

// read reads what a meter's certificate states.
func (s *Accuracy) read(k Kind, a *table) {
	a.only("["+string(k)+".accuracy]", []string{"scale", "xy", "dark", "drift", "repeatability", "noise", "zero", "wavelength", "response", "sample", "sample_dark",
		"certificate", "date", "coverage_factor"})
	a.text("certificate", &s.Certificate)
	a.date("date", &s.Date)
	a.number("scale", &s.Scale, limits{0, 100, "%"})
	a.number("xy", &s.XY, limits{0, 0.5, ""})
	a.number("dark", &s.Dark, limits{0, 1000, "cd/m²"})
	a.number("drift", &s.Drift, limits{0, 1000, "cd/m² an hour"})
	a.number("repeatability", &s.Repeatability, limits{0, 100, "%"})
	a.noise("noise", &s.Noise)
	a.number("zero", &s.Zero, limits{0, 1000, "cd/m²"})
	a.number("wavelength", &s.Wavelength, limits{0, 50, "nm"})
	a.number("response", &s.Response, limits{0, 100, "%"})
	a.number("sample", &s.Sample, limits{0, 100, "%"})
	a.number("sample_dark", &s.SampleDark, limits{0, 1, "W/(sr m² nm)"})
	s.standard(a.factor())
}

// read reads what a light meter's certificate states.
func (s *LuxAccuracy) read(l *table) {
	l.only("[rig.lux]", []string{"scale", "zero", "repeatability", "certificate", "date", "coverage_factor"})
	l.text("certificate", &s.Certificate)
	l.date("date", &s.Date)
	l.number("scale", &s.Scale, limits{0, 100, "%"})
	l.number("zero", &s.Zero, limits{0, 1000, "lx"})
	l.number("repeatability", &s.Repeatability, limits{0, 100, "%"})
	factor := l.factor()
	s.Scale, s.Zero = s.Scale/factor, s.Zero/factor
}

// factor reads a certificate's coverage factor, 1 where it states none.
func (t *table) factor() float64 {
	factor := 1.0
	t.number("coverage_factor", &factor, limits{1, 10, ""})
	return factor
}

// standard makes standard uncertainties of what a certificate states as expanded ones, with
// its coverage factor k: u = U/k (JCGM 100:2008, 6.2.1). Drift, repeatability, noise, zero and the noise of samples are no
// figures of a certificate, and stay.
func (a *Accuracy) standard(factor float64) {
	for _, u := range []*float64{&a.Scale, &a.XY, &a.Dark, &a.Wavelength, &a.Response} {
		*u /= factor
	}
}
