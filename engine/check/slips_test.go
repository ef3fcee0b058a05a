package check_test

import (
	"strconv"
	"strings"
	"testing"
)

// What is near a slip and right is no finding.
func TestRightNearSlips(t *testing.T) {
	for name, body := range map[string]string{
		"a loop from 0 that adds 1": `
    local windows = { 1, 10, 100 }
    for i = 0, #windows - 1 do
      patches.show { grey = 1, window = windows[i + 1] }
      record.value { name = "White " .. i, value = meter.measure {} }
    end`,
		"steps of a tenth, which arrive": `
    for grey = 0, 1, 0.1 do
      patches.show { grey = grey, window = 10 }
      record.value { name = "Grey " .. grey, value = meter.measure {} }
    end`,
		"steps that need not arrive": `
    for grey = 0, 1, 0.3 do
      patches.show { grey = grey, window = 10 }
      record.value { name = "Grey " .. grey, value = meter.measure {} }
    end`,
		"percent": `
    patches.show { grey = 1, window = 10 }
    local a, b = meter.measure {}, meter.measure {}
    local ratio = b.Y / a.Y
    record.value { name = "Ratio", value = ratio, from = { a, b } }
    record.value { name = "Share", value = ratio * 100, unit = "%", from = { a, b } }
    record.value { name = "Loss", value = 100 * (1 - ratio), unit = "%", from = { a, b } }`,
		"places that are filled in each case": `
    local ys, count = {}, 0
    for i, grey in ipairs { 0, 0.5, 1 } do
      patches.show { grey = grey, window = 10 }
      local r = meter.measure {}
      if grey > 0 then ys[i] = r.Y else ys[i] = 0 end
      if r.doubt then count = count + 1 end
    end
    record.value { name = "Highest", value = ys[#ys], unit = "cd/m2" }
    record.note("doubts: " .. count)`,
		"a table by place whose length nobody asks for": `
    local doubts = {}
    for i, grey in ipairs { 0.5, 1 } do
      patches.show { grey = grey, window = 10 }
      local r = meter.measure {}
      if r.doubt then doubts[i] = r.doubt end
      record.value { name = "Grey " .. grey, value = r, why = doubts[i] and nil }
    end`,
		"numbers sorted": `
    patches.show { grey = 1, window = 10 }
    local ys = {}
    for i = 1, 3 do
      local r = meter.measure {}
      ys[i] = r.Y
    end
    table.sort(ys)
    record.value { name = "Middle", value = ys[2], unit = "cd/m2" }
    record.value { name = "Highest", value = math.max(unpack(ys)), unit = "cd/m2" }`,
		"readings sorted by their luminance": `
    patches.show { grey = 1, window = 10 }
    local all = { meter.measure {}, meter.measure {}, meter.measure {} }
    table.sort(all, function(a, b) return a.Y < b.Y end)
    record.value { name = "Middle", value = all[2] }`,
		"a value or none": `
    patches.show { grey = 1, window = 10 }
    local s, r = meter.settle {}, meter.measure {}
    record.value { name = "White", value = s.settled and r or nil, why = not s.settled and "it did not settle" or nil }
    record.value { name = "Settling", value = s.seconds, unit = "s", from = { r, { r = r, window = 10 } } }`,
		"one tick": `
    patches.show { grey = 1, window = 10 }
    clock.every { period = 10, duration = 0, run = function()
      record.value { name = "White", value = meter.measure {} }
    end }`,
		"a colour's shares of one reading": `
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    record.value { name = "X over Y", value = r.x / r.y, from = r }`,
		"escapes of Lua": `
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {} }
    record.note(("a\tb\\d \065 \"c\""):match("%a+%d*"))`,
	} {
		src := "return procedure {\n  title = \"White\",\n  purpose = \"Luminance.\",\n  needs = { meter = {}, patches = {} },\n  run = function()" + body + "\n  end,\n}\n"
		for _, f := range text(t, src) {
			t.Errorf("%s: %s", name, f)
		}
	}
}

// The values that a loop of Lua takes are those of Lua's own arithmetic: the end is missed where the interpreter misses it.
func TestEndsMissedAsLuaMissesThem(t *testing.T) {
	for n := 2; n <= 60; n++ {
		step := 1 / float64(n)
		x, rounds := 0.0, 0
		for ; x <= 1; x += step { // as the manual of Lua 5.1 says in section 2.4.5
			rounds++
		}
		src := "return procedure {\n  title = \"White\",\n  purpose = \"Luminance.\",\n  needs = { meter = {}, patches = {} },\n  run = function()\n    for g = 0, 1, 1 / " +
			strconv.Itoa(n) + " do\n      patches.show { grey = g, window = 10 }\n      record.value { name = \"Grey \" .. g, value = meter.measure {} }\n    end\n  end,\n}\n"
		said := false
		for _, f := range text(t, src) {
			said = said || f.Name == "end-missed" && f.Line == 6 && strings.Contains(f.Suggest, "for i = 0, "+strconv.Itoa(n))
		}
		if missed := rounds < n+1; said != missed {
			t.Errorf("steps of 1/%d: %d rounds, said %v", n, rounds, said)
		}
	}
}

// What to write is said by where the name, the brace or the condition stands.
func TestSuggestionsOfPlace(t *testing.T) {
	const head = "return procedure {\n  title = \"White\",\n  purpose = \"Luminance.\",\n  needs = { meter = {}, patches = {} },\n  run = function()\n"
	for body, want := range map[string]string{
		"    local r = take()\n    local function take() patches.show { grey = 1 } return meter.measure {} end\n    record.value { name = \"W\", value = r }":                "it is made in line 7: move that before its use",
		"    do local r = 1 end\n    record.value { name = \"W\", value = r }":                                                                                               "the r of line 6 is known only in its own block: declare it before the block",
		"    local function show(level) patches.show { grey = level } end\n    show(1)\n    record.value { name = \"W\", value = level }":                                    "level is known only in the function of line 6: hand it over as an argument",
		"    patches.show { grey = 1\n    record.note(\"x\")":                                                                                                                "close the { of line 6, or put a comma after the field before",
		"    local r = meter.measure {}\n    if r.bound then\n      record.note(\"a\")\n    else if r.doubt then\n      record.note(\"b\")\n    end\n    record.note(\"c\")": "write elseif in line 9: else if begins a condition that needs an end of its own",
		"    patches.show { grey = 1 }\n    record.value { name = \"T\", value = colour.cct(meter.measure {}), unit = \"K\" }":                                               "record one of its fields: cct, duv",
	} {
		var all []string
		for _, f := range text(t, head+body+"\n  end,\n}\n") {
			all = append(all, f.Suggest)
		}
		if !strings.Contains(strings.Join(all, "\n"), want) {
			t.Errorf("%s\nsuggests %q, want %q", body, all, want)
		}
	}
}
