package notices

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/testdata/campaign"
)

var update = flag.Bool("update", false, "write the texts anew from the modules")

// isLicence tells the files of a module that state its licence.
var isLicence = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|copyright|unlicense)([.-].*)?$`)

// The modules that are linked on any of the six systems that the program is built
// for, and no others, each with all its licence files, to the byte. What is compared
// with is the modules' own source, as the go command has it.
func TestModulesAreComplete(t *testing.T) {
	want := map[string]string{} // path below texts, content
	for module, dir := range linked(t) {
		take(t, want, module, dir)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	std := strings.TrimSpace(string(root))
	if _, err := os.Stat(filepath.Join(std, "LICENSE")); err != nil {
		if campaign.Full() {
			t.Fatalf("this test is compulsory here and wants Go's own LICENSE: %v", err)
		}
		t.Skipf("this installation of Go is without its licence; install Go from its own archive: %v", err)
	}
	take(t, want, "std", std)
	if *update {
		write(t, want)
	}
	got := map[string]string{}
	for _, m := range Modules() {
		for _, text := range m.Texts {
			got[m.Path+"/"+text.Name] = text.Text
		}
	}
	if *update {
		return // what is embedded is what was there when the test was built
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("want -, have +; go test ./engine/notices -update writes the texts anew:\n%s", d)
	}
}

// linked returns the modules of the program on all six systems, with their folders.
func linked(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, system := range []string{"linux", "darwin", "windows"} {
		for _, arch := range []string{"amd64", "arm64"} {
			c := exec.Command("go", "list", "-deps", "-json=Module", "../../cmd/candelua")
			c.Env = append(os.Environ(), "GOOS="+system, "GOARCH="+arch, "CGO_ENABLED=0")
			c.Stderr = os.Stderr
			out, err := c.Output()
			if err != nil {
				t.Fatalf("go list for %s/%s: %v", system, arch, err)
			}
			for d := json.NewDecoder(strings.NewReader(string(out))); ; {
				var p struct {
					Module *struct {
						Path, Dir string
						Main      bool
					}
				}
				if err := d.Decode(&p); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					t.Fatal(err)
				}
				if p.Module != nil && !p.Module.Main {
					all[p.Module.Path] = p.Module.Dir
				}
			}
		}
	}
	if len(all) < 10 {
		t.Fatalf("only %d modules are linked: %v", len(all), all)
	}
	return all
}

// take reads the licence files of a module.
func take(t *testing.T, into map[string]string, module, dir string) {
	t.Helper()
	found := false
	read := func(folder string, all bool) {
		entries, err := os.ReadDir(filepath.Join(dir, folder))
		if err != nil && !(all && errors.Is(err, fs.ErrNotExist)) {
			t.Fatal(err)
		}
		for _, e := range entries {
			if e.IsDir() || !all && !isLicence.MatchString(e.Name()) {
				continue
			}
			src, err := os.ReadFile(filepath.Join(dir, folder, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			found = true
			into[filepath.ToSlash(filepath.Join(module, folder, e.Name()))] = string(src)
		}
	}
	read("", false)
	read(thirdParty, true)
	if !found {
		t.Errorf("the module %s has no licence file in %s", module, dir)
	}
}

func write(t *testing.T, texts map[string]string) {
	t.Helper()
	if err := os.RemoveAll("texts"); err != nil {
		t.Fatal(err)
	}
	for name, text := range texts {
		at := filepath.Join("texts", filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// All that is listed is printed, texts in full.
func TestWrite(t *testing.T) {
	var out strings.Builder
	if err := Write(&out); err != nil {
		t.Fatal(err)
	}
	for _, m := range Modules() {
		for _, text := range m.Texts {
			if !strings.Contains(out.String(), fmt.Sprintf("\n%s: %s\n", m.Path, text.Name)) || !strings.Contains(out.String(), strings.TrimRight(text.Text, "\n")) {
				t.Errorf("%s: %s is not printed", m.Path, text.Name)
			}
		}
	}
	for _, table := range Tables() {
		if !strings.Contains(out.String(), table.Files+": "+table.Data) {
			t.Errorf("the table %s is not printed", table.Data)
		}
	}
	for _, text := range licences() {
		if !strings.Contains(out.String(), text.Name+"\n---") || !strings.Contains(out.String(), "Redistribution and use in source and binary forms") {
			t.Errorf("the licence of %s is not printed", text.Name)
		}
	}
}

// A file that says that its numbers are those of a package is in the list, with the
// package and licence that it names, and the list names no file that does not.
func TestTablesNameTheirPackages(t *testing.T) {
	names := regexp.MustCompile(`Numbers as in ([a-z-]+ [0-9.]+[0-9](?:, cie\.i)?) \((BSD-3-Clause)\)`)
	found := map[string]string{}
	for _, dir := range []string{"../../colour", "../../engine", "../../builtins", "../../testdata/published"} {
		err := filepath.WalkDir(dir, func(at string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			src, err := os.ReadFile(at)
			flat := strings.Join(strings.Fields(strings.NewReplacer("//", "", "\n", " ").Replace(string(src))), " ")
			if m := names.FindStringSubmatch(flat); m != nil {
				found[strings.TrimPrefix(filepath.ToSlash(at), "../../")] = m[1] + ", " + m[2]
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	listed := map[string]string{}
	for _, table := range Tables() {
		for _, file := range strings.Split(table.Files, ", ") {
			listed[file] = table.Package + ", " + table.Licence
		}
	}
	if d := cmp.Diff(listed, found); d != "" {
		t.Errorf("the list (-) and the files (+) differ:\n%s", d)
	}
}

// The licence of a package whose numbers are part of the program is there.
func TestTablesHaveTheirLicences(t *testing.T) {
	for _, table := range Tables() {
		if inProgram := !strings.HasPrefix(table.Files, "testdata/"); inProgram != (table.text != "") {
			t.Errorf("%s: text is %q", table.Files, table.text)
		}
	}
	if got := len(licences()); got != 2 {
		t.Errorf("%d licences", got)
	}
	if m := Missing(); slices.Contains(m, "github.com/spf13/cobra") {
		t.Errorf("missing are %v", m)
	}
}
