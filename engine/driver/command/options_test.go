package command

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// TestOptionsOfAllTypes gives each key each type of value that a bench file can have, and odd texts. Nothing
// panics, and an error names the line of the key, or of its table, and a key.
func TestOptionsOfAllTypes(t *testing.T) {
	values := []string{`5`, `-0.0`, `true`, `""`, `" "`, `[]`, `[""]`, `[1, "a"]`, `["a", []]`, `[["a"]]`, `{}`, `{ run = 5 }`, `{ run = "x", reply = "{Y}" }`, `[{}]`,
		`"{"`, `"}"`, `"{}"`, `"{Y"`, `"{Y}{Y}"`, `"{Y}{x}"`, `"{Y fL}"`, `"{Y zz}"`, `"{ }"`, `"{level:}"`, `"{level:99}"`, `"{:}"`, `"(*[?\\"`, `"\u0000"`, `"é²"`, `"\t"`, `"."`, `","`, `"/"`, `"\r\n"`}
	placed := regexp.MustCompile(`^b\.toml:(\d+): (\w+\.options[\w.]*|meter\.link)`)
	for kind, must := range map[bench.Kind]string{bench.KindMeter: `reply = "{Y}"`, bench.KindRig: `lamp = { send = "{lamp}" }`, bench.KindUnit: "", bench.KindPatches: ""} {
		for _, key := range []string{"run", "keep", "ready", "send", "ends", "terminal", "reply", "failure", "about", "spectrum", "file", "decimal", "name", "folder",
			"read", "dark", "lamp", "turn", "lux", "place", "set", "power", "show", "shows", "nonsense", "about.run", "lamp.run", "read.reply", "lux.reply", `"a.b"`, "first", "last", "flags", "flags.saturated", "flags.nonsense"} {
			for _, value := range values {
				if strings.HasPrefix(must, key+" ") || strings.Contains(must, "lamp") && key == "lamp.run" {
					continue
				}
				text := fmt.Sprintf("[%s]\ndriver = \"command\"\n[%[1]s.options]\n%s = %s\n%s\n", kind, key, value, must)
				if key != "run" {
					text += "run = \"true\"\n"
				}
				f, err := bench.ParseFile("b.toml", []byte(text))
				if err != nil { // no TOML
					continue
				}
				_, err = settingsOf(kind, *f.Section(kind))
				if err != nil && (!placed.MatchString(err.Error()) || fault.CodeOf(err) != bench.CodeBadFile) {
					t.Errorf("%s%v", text, err)
				}
			}
		}
	}
}

// TestLineOfKey: what is wrong is said with the line where it stands.
func TestLineOfKey(t *testing.T) {
	for text, want := range map[string]string{
		"[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"true\"\n\nreply = 3\n":                                    "b.toml:6: meter.options.reply is ",
		"[rig]\ndriver = \"command\"\n[rig.options.lamp]\nrun = \"true\"\n\nreplay = \"\"\n":                               "b.toml:6: rig.options.lamp.replay is unknown",
		"[rig]\ndriver = \"command\"\n[rig.options]\nrun = \"true\"\nlux = { reply = \"x\" }\n":                            "b.toml:5: rig.options.lux.reply must be ",
		"[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"true\"\nreply = \"{Y}\"\nflags = { bright = \"x\" }":      "b.toml:6: meter.options.flags.bright is unknown; the keys of meter.options.flags are below_floor, saturated, underfilled, unsynchronised",
		"[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"true\"\nreply = \"{Y}\"\nflags = { saturated = \"{Y}\" }": "b.toml:6: meter.options.flags.saturated has the field {Y}",
		"[meter]\ndriver = \"command\"\nlink = \"tcp:a:1\"\n[meter.options]\nrun = \"true\"\nreply = \"{Y}\"\n":            "b.toml:3: meter.link is given",
		"[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"true\"\nreply = \"{Y}\"\nabout = { reply = \"{name}\" }":  "b.toml:6: meter.options.about.run must name",
		"[patches]\ndriver = \"command\"\n[patches.options]\nrun = \"true\"\nshows = [\"ramp\", \"spiral\"]\n":             "b.toml:5: patches.options.shows is a list with something else; it must be a list of what the program shows besides windows in SDR and PQ: checkerboard, ",
		"[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"true\"\nreply = \"{Y}\"\nshows = [\"ramp\"]\n":            "b.toml:6: meter.options.shows is unknown",
	} {
		f, err := bench.ParseFile("b.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		kind := f.Kinds()[0]
		if _, err := settingsOf(kind, *f.Section(kind)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s\nthe error is %v, want %s", text, err, want)
		}
	}
}
