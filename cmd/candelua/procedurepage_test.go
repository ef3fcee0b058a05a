package main

import (
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/script"
)

// TestProcedurePage: the page names all that a procedure can state, each with what it is for, all words of needs, and
// all steps that need a device.
func TestProcedurePage(t *testing.T) {
	page := apiPage("procedure")
	for _, plan := range [][]script.ArgDoc{script.ArgDocs(script.ContractPlan()), script.ArgDocs(script.ParamPlan())} {
		if len(plan) == 0 {
			t.Error("nothing is declared")
		}
		for _, f := range plan {
			if f.Help == "" || f.Want == "" || !strings.Contains(page, "\n  "+f.Name+" ") {
				t.Errorf("%s is not on the page, or has no help: %+v", f.Name, f)
			}
		}
	}
	for _, place := range script.Devices() {
		if !strings.Contains(page, "\n  "+place+" = {}: "+bench.DeviceWords(place)) {
			t.Errorf("the device %s is not on the page", place)
		}
		for _, word := range bench.NeedWords(place) {
			if bench.Does(place, word) == "" || !strings.Contains(page, word+" = true: it "+bench.Does(place, word)) {
				t.Errorf("the need %s of %s is not on the page", word, place)
			}
		}
	}
	if bench.Does("meter", "nothing") != "" {
		t.Error("there is no need nothing")
	}
	for _, m := range builtins.Modules() {
		for _, f := range m.Shown() {
			if f.Class == script.ClassStep && f.Device() != "" && f.Device() != "clock" && !strings.Contains(strings.Join(strings.Fields(page), " "), f.Name) {
				t.Errorf("the step %s is not on the page", f.Name)
			}
		}
	}
}
