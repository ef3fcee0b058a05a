package engine_test

import (
	"bytes"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
)

// statedSpec is a run where a person types one luminance and a meter's accuracy is
// stated by lines of a bench file.
func statedSpec(t *testing.T, accuracy, body, lines string) engine.Spec {
	s := drawnSpec(t, procedureOf(body), 200)
	s.Bench = get(bench.ParseFile("bench.toml", []byte("name = \"typed\"\n[meter]\ndriver = \"operator\"\n[meter.accuracy]\n"+accuracy+"[patches]\ndriver = \"operator\"\n")))(t)
	s.Openers = typedOpeners(lines, &bytes.Buffer{}, true)
	return s
}

// TestUnknownScatter: of a single typed reading only the last digit is known, and the
// results say so; where the bench states how readings scatter, they do not.
func TestUnknownScatter(t *testing.T) {
	const body = `record.value { name = "Y", value = meter.read().Y, unit = "cd/m2" }`
	rep := ran(t, statedSpec(t, "", body, "352\n"), engine.Done)
	if n := rep.Results.Draws().NoScatter; n != 1 {
		t.Errorf("%d readings have an unknown scatter, want 1", n)
	}
	has(t, string(file(t, rep.Path, "results.json")), `"no_scatter":1`)
	rep = ran(t, statedSpec(t, "repeatability = 0.2\n", body, "352\n"), engine.Done)
	if n := rep.Results.Draws().NoScatter; n != 0 || strings.Contains(string(file(t, rep.Path, "results.json")), "no_scatter") {
		t.Errorf("%d readings have an unknown scatter, want none", n)
	}
}
