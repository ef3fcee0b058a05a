package screen

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/bench"
)

// where is where a page is served; it can be compared.
type where struct {
	listen, hosts, certificate, key string
}

// options are those of a bench file.
type options struct {
	where
	take bool
	// Paths of files for the QR code and for the address, empty for none.
	code, address string
}

func (w where) hostList() []string {
	if w.hosts == "" {
		return nil
	}
	return strings.Split(w.hosts, "\n")
}

// thisMachine is where a page is served if nobody says: for a browser on the machine itself, on a monitor of it.
const thisMachine = "127.0.0.1:0"

// readOptions reads the options of a section.
func readOptions(s bench.Section) (o options, err error) {
	if s.Chain != nil {
		return o, bench.Errorf(bench.CodeBadFile, "remove [patches.chain]: no cable and no player lie between the page and the panel",
			"%s: patches.chain is stated, and the page of driver \"screen\" shows its own codes, full range RGB", s.At("patches.chain"))
	}
	o.listen = thisMachine
	known := []string{"listen", "hosts", "certificate", "key", "take", "code", "address"}
	for _, key := range slices.Sorted(maps.Keys(s.Options)) {
		v, ok, want := s.Options[key], false, "a text"
		switch key {
		case "listen":
			o.listen, ok = v.(string)
		case "certificate":
			o.certificate, ok = v.(string)
			o.certificate = s.Beside(o.certificate)
		case "key":
			o.key, ok = v.(string)
			o.key = s.Beside(o.key)
		case "code":
			o.code, ok = v.(string)
			ok = ok && strings.HasSuffix(o.code, ".svg")
			o.code, want = s.Beside(o.code), `the name of a file that ends with ".svg"`
		case "address":
			o.address, ok = v.(string)
			ok = ok && o.address != ""
			o.address, want = s.Beside(o.address), "the name of a file"
		case "take":
			o.take, ok = v.(bool)
			want = "true or false"
		case "hosts":
			o.hosts, ok = names(v)
			want = `a list of names, such as ["bench.local"]`
		default:
			return o, bench.Errorf(bench.CodeBadFile, "", "%s: patches.options.%s is not known; it must be one of %s", s.At("patches.options."+key), key, strings.Join(known, ", "))
		}
		if !ok {
			return o, bench.Errorf(bench.CodeBadFile, "", "%s: patches.options.%s is %v; it must be %s", s.At("patches.options."+key), key, shown(v), want)
		}
	}
	if s.Link != "" {
		return o, bench.Errorf(bench.CodeBadFile, "leave out link; the address to listen at is options.listen", "%s: patches.link is given, and the page has no link", s.At("patches.link"))
	}
	return o, nil
}

func shown(v any) string {
	if t, ok := v.(string); ok {
		return fmt.Sprintf("%q", t)
	}
	return fmt.Sprint(v)
}

// names reads a list of texts, as lines.
func names(v any) (string, bool) {
	list, ok := v.([]any)
	var all []string
	for _, n := range list {
		name, isText := n.(string)
		ok = ok && isText && name != "" && !strings.Contains(name, "\n")
		all = append(all, name)
	}
	return strings.Join(all, "\n"), ok && len(all) > 0
}
