package command

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/spell"
)

// settings are what a bench file says of a program.
type settings struct {
	kind     bench.Kind
	run      []string // the program that is kept open; nil where one is run for each request
	dir      string   // where it works
	ready    string   // the mark by which it says that it is ready for the next line
	ends     string   // of a line to it
	first    []string // lines to a program that is kept open, once it has started
	last     string   // a line to it before it is ended; empty for none
	terminal bool
	name     string
	about    *exchange // asks who is there; nil where nobody asks
	failures []*pattern
	shows    []string // what a source of patches shows besides windows in SDR and PQ
	verbs    map[driver.Verb]*exchange
}

// exchange is one request and its reply.
type exchange struct {
	run      []template // of a program that is run for it
	send     *template  // the line to a program that is kept open
	reply    []*pattern // each must match exactly one line; none: the program need not reply
	spectrum *pattern   // of each line of a spectrum; nil where there is none
	flags    []flagged  // lines by which the program says something against its reading
	file     string     // where the program writes its reply; empty: on its output
}

// flagged is a line that sets a flag on the reading; it may be a line of the reply too.
type flagged struct {
	flag string
	line *pattern
}

// reader reads options, and keeps the first error.
type reader struct {
	at  func(key string) string // where a key stands in the bench file
	err error
}

// fail keeps what is wrong with a key.
func (r *reader) fail(hint, key, format string, args ...any) {
	if r.err == nil {
		r.err = bench.Errorf(bench.CodeBadFile, hint, "%s: "+format, append([]any{r.at(key)}, args...)...)
	}
}

// table is one table of options.
type table struct {
	*reader
	key    string
	values map[string]any
	known  []string
}

func (r *reader) table(key string, values map[string]any) *table {
	return &table{reader: r, key: key, values: values}
}

func (t *table) named(key string) string { return t.key + "." + key }

func (t *table) take(key string) (any, bool) {
	t.known = append(t.known, key)
	v, given := t.values[key]
	return v, given
}

// shown is a value for a message, shortened.
func shown(v any) string {
	switch v.(type) {
	case []any:
		return "a list with something else"
	case map[string]any:
		return "a table"
	}
	return driver.Short(fmt.Sprintf("%#v", v))
}

func (t *table) wrong(key, want string) {
	t.fail("", t.named(key), "%s is %s; it must be %s", t.named(key), shown(t.values[key]), want)
}

func (t *table) text(key, otherwise string) string {
	v, given := t.take(key)
	if !given {
		return otherwise
	}
	s, ok := v.(string)
	if !ok {
		t.wrong(key, "a text in quotes")
	}
	return s
}

func (t *table) flag(key string) bool {
	v, given := t.take(key)
	on, ok := v.(bool)
	if given && !ok {
		t.wrong(key, "true or false")
	}
	return on
}

// texts reads one text or several. A single one is cut at blanks where words is true.
func (t *table) texts(key string, words bool) (all []string) {
	v, given := t.take(key)
	switch v := v.(type) {
	case string:
		if words {
			all = strings.Fields(v)
		} else {
			all = []string{v}
		}
	case []any:
		for _, x := range v {
			s, ok := x.(string)
			if !ok {
				t.wrong(key, "a text in quotes, or a list of such")
				return nil
			}
			all = append(all, s)
		}
	}
	if given && (len(all) == 0 || strings.TrimSpace(all[0]) == "") {
		t.wrong(key, "a text in quotes, or a list of such, and not empty")
		return nil
	}
	return all
}

func (t *table) sub(key string) *table {
	v, given := t.take(key)
	if !given {
		return nil
	}
	m, ok := v.(map[string]any)
	if !ok {
		t.wrong(key, "a table with the head ["+t.named(key)+"]")
		return nil
	}
	return t.reader.table(t.named(key), m)
}

// done refuses keys that nobody has taken.
func (t *table) done() {
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if slices.Contains(t.known, key) {
			continue
		}
		hint := ""
		if near := spell.Nearest(key, t.known); near != "" {
			hint = fmt.Sprintf("did you mean %s?", near)
		}
		t.fail(hint, t.named(key), "%s is unknown; the keys of %s are %s", t.named(key), t.key, strings.Join(t.known, ", "))
	}
}

// settingsOf reads what a section of the bench file says of a program.
func settingsOf(k bench.Kind, s bench.Section) (*settings, error) {
	r := &reader{at: s.At}
	if s.Link != "" {
		r.fail("leave out link, and name the program by run", string(k)+".link", "%s.link is given, and a program has no link", k)
	}
	t := r.table(string(k)+".options", s.Options)
	set := &settings{kind: k, verbs: map[driver.Verb]*exchange{}}
	run := t.texts("run", true)
	keep := t.flag("keep")
	set.dir = s.Beside(t.text("folder", "."))
	set.ready, set.ends, set.terminal = t.text("ready", ""), t.text("ends", "\n"), t.flag("terminal")
	set.first, set.last = t.texts("first", false), t.text("last", "")
	comma := t.text("decimal", ".")
	if comma != "." && comma != "," {
		t.wrong("decimal", `"." or ","`)
	}
	for _, text := range t.texts("failure", false) {
		set.failures = append(set.failures, t.pattern("failure", text, nil, []string{"message"}, false))
	}
	if k == bench.KindPatches {
		set.shows = t.texts("shows", false)
		for _, word := range set.shows {
			if !slices.Contains(bench.ShowWords, word) {
				t.wrong("shows", "a list of what the program shows besides windows in SDR and PQ: "+strings.Join(bench.ShowWords, ", "))
			}
		}
	}
	run = program(s, run)
	if keep {
		set.run = run
	}
	set.name = t.text("name", nameOf(run))
	e := exchanges{table: t, keep: keep, comma: comma == ",", ready: set.ready, section: s}
	first := driver.VerbsOf(k)[0]
	for _, v := range driver.VerbsOf(k) {
		message, _ := driver.MessageOf(v)
		in := t.sub(string(v))
		switch {
		case v == first && k != bench.KindRig && in == nil:
			set.verbs[v] = e.read(t, message, run)
		case in != nil:
			set.verbs[v] = e.read(in, message, run)
			in.done()
		}
	}
	if in := t.sub("about"); in != nil {
		set.about = e.read(in, driver.Message{Ask: reflect.TypeFor[driver.Nothing](), Answer: reflect.TypeFor[identity]()}, nil)
		in.done()
	}
	t.done()
	if r.err == nil && len(run) == 0 && keep {
		t.fail(`as in run = "program --option"`, t.key, "%s.run must name the program", t.key)
	}
	if !keep {
		for _, key := range []string{"ready", "ends", "terminal", "first", "last"} {
			if _, given := s.Options[key]; given {
				t.fail("add keep = true", t.named(key), "%s is given, and the program is not kept open", t.named(key))
			}
		}
	}
	return set, r.err
}

// program is a program and its arguments, with the program's path beside the bench file.
func program(s bench.Section, run []string) []string {
	if len(run) == 0 {
		return nil
	}
	return append([]string{s.Program(run[0])}, run[1:]...)
}

// identity is what a program may say of the instrument.
type identity struct {
	Name     string `lua:"name"`
	Serial   string `lua:"serial"`
	Firmware string `lua:"firmware"`
}

func nameOf(run []string) string {
	if len(run) == 0 {
		return "program"
	}
	parts := strings.FieldsFunc(run[0], func(r rune) bool { return r == '/' || r == '\\' })
	if len(parts) == 0 {
		return run[0]
	}
	return parts[len(parts)-1]
}

func (t *table) pattern(key, text string, numbers, texts []string, comma bool) *pattern {
	p, err := compile(t.named(key), text, numbers, texts, comma)
	if err != nil {
		hint := ""
		if told, ok := err.(interface{ Hint() string }); ok {
			hint = told.Hint()
		}
		t.fail(hint, t.named(key), "%v", err)
	}
	return p
}

// exchanges reads the exchanges of a section.
type exchanges struct {
	*table
	keep    bool
	comma   bool
	ready   string
	section bench.Section
}

func (e exchanges) read(t *table, m driver.Message, run []string) *exchange {
	x := &exchange{}
	asked := askFields(m.Ask)
	if e.keep {
		x.send = e.template(t, "send", t.text("send", ""), asked)
		if _, given := t.values["send"]; !given {
			t.fail("the line that the program waits for, such as send = \"\" for Enter alone", t.key, "%s must be given, since the program is kept open", t.named("send"))
		}
	} else {
		if own := t.texts("run", true); len(own) > 0 {
			run = program(e.section, own)
		}
		if len(run) == 0 {
			t.fail(`as in run = "program --option"`, t.key, "%s must name the program", t.named("run"))
		}
		for _, arg := range run {
			x.run = append(x.run, *e.template(t, "run", arg, asked))
		}
	}
	numbers, texts := answerFields(m.Answer)
	for _, text := range t.texts("reply", false) {
		x.reply = append(x.reply, t.pattern("reply", text, numbers, texts, e.comma))
	}
	e.mustHave(t, x, m)
	if m.Verb == driver.Read {
		x.flags = t.flags("flags")
		if text := t.text("spectrum", ""); text != "" {
			x.spectrum = t.pattern("spectrum", text, []string{"nm", "value"}, nil, e.comma)
		}
	}
	if file := t.text("file", ""); file != "" {
		x.file = e.section.Beside(file)
	}
	if e.keep && e.ready == "" && (x.spectrum != nil || x.file != "") {
		t.fail(`as in ready = ">"`, t.key, "%s.ready must be the mark by which the program says that it is ready again, since its reply is a spectrum or a file", t.key)
	}
	return x
}

// flags reads the patterns of lines that set flags, by flag.
func (t *table) flags(key string) (all []flagged) {
	in := t.sub(key)
	if in == nil {
		return nil
	}
	for _, f := range driver.Flags {
		for _, text := range in.texts(string(f), false) {
			all = append(all, flagged{string(f), in.pattern(string(f), text, nil, nil, false)})
		}
	}
	in.done()
	return all
}

// mustHave refuses an exchange whose reply cannot hold what is asked for.
func (e exchanges) mustHave(t *table, x *exchange, m driver.Message) {
	need := map[driver.Verb]string{driver.Read: "Y", driver.Lux: "lux"}[m.Verb]
	if need == "" {
		return
	}
	for _, p := range x.reply {
		if p != nil && slices.ContainsFunc(p.fields, func(f *field) bool { return f.name == need }) {
			return
		}
	}
	t.fail(fmt.Sprintf(`the line that the program writes, with the value's place in braces, as in reply = "{%s}"`, need), t.named("reply"), "%s must be a pattern with {%s} in it", t.named("reply"), need)
}

// answerFields are the numbers and the texts that a reply may have.
func answerFields(t reflect.Type) (numbers, texts []string) {
	for i := range t.NumField() {
		name, is := t.Field(i).Tag.Lookup("lua")
		kind := t.Field(i).Type
		if kind.Kind() == reflect.Pointer {
			kind = kind.Elem()
		}
		switch {
		case !is:
		case kind.Kind() == reflect.Float64:
			numbers = append(numbers, name)
		case kind.Kind() == reflect.String:
			texts = append(texts, name)
		}
	}
	return numbers, texts
}
