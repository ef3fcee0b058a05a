package sandbox

import (
	"strings"
	"testing"
)

// uncallable has values of each kind that cannot be called; a __call must be a function itself, as in Lua 5.1.
const uncallable = `
local _, failure = pcall(require, "none")
local callable = setmetatable({}, { __call = function() return true end })
local values = { nil, false, true, 0, 5, "", "x", {}, setmetatable({}, {}), setmetatable({}, { __call = 5 }), setmetatable({}, { __call = callable }), failure }
local count = 12
`

// TestEveryCallOfOthers lets all that calls a value call one that cannot be called: the script itself, library functions
// and operators. The message is that of a direct call, with the place.
func TestEveryCallOfOthers(t *testing.T) {
	out, err := execute(t, "x.lua", uncallable+`
local function with(event, v) return setmetatable({}, { [event] = v }) end
local ways = {
  direct = function(v) local x = (v or v)() end, tail = function(v) return (v or v)() end, iterator = function(v) for _ in v do end end,
  pcall = function(v) local _, m = pcall(v, 1) error(m, 0) end, xpcall = function(v) local _, m = xpcall(v, function(m) return m end) error(m, 0) end,
  handler = function(v) local _, m = xpcall(error, v) error(m, 0) end, twice = function(v) local _, _, m = pcall(pcall, v) error(m, 0) end,
}
local operators = {
  __add = function(a) return a + 1 end, __sub = function(a) return "x" - a end, __mul = function(a) return a * a end, __div = function(a) return 1 / a end,
  __mod = function(a) return a % {} end, __pow = function(a) return "2" ^ a end, __unm = function(a) return -a end, __concat = function(a) return a .. "x" end,
  __eq = function(a, b) return a == b end, __lt = function(a, b) return a < b end, __le = function(a, b) return a <= b end, __tostring = function(a) return tostring(a) end,
}
local more = {
  __concat = function(a) return 1 .. a end, __eq = function(a, b) return a ~= b end, __lt = function(a, b) return a >= b end, __le = function(a, b) return a >= b end,
  __tostring = function(a) print(a) end, __add = function(a) return {} + a end,
}
local inside = { __tostring = function(a) return tostring, a end, __lt = function(a, b) return table.sort, { a, b } end }
local checked = 0
local function check(name, v, f, ...)
  local ok, m = pcall(f, ...)
  checked = checked + 1
  if ok or type(m) ~= "string" or m:gsub("^x%.lua:%d+: ", "", 1) ~= "attempt to call a " .. type(v) .. " value" or not m:find("^x") then print(name, type(v), ok, m) end
end
for i = 1, count do
  local v = values[i]
  for name, f in pairs(ways) do check(name, v, f, v) end
  if v ~= nil then
    for _, all in ipairs { operators, more } do
      for event, f in pairs(all) do check(event, v, f, with(event, v), with(event, v)) end
    end
    for event, f in pairs(inside) do check(event .. " inside", v, f(with(event, v), with(event, v))) end
  end
end
print(checked)
`, Limits{})
	if err != nil || out != "304\n" {
		t.Errorf("%v\n%s", err, out)
	}
}

// TestEveryLibraryFunctionOfOthers hands values that cannot be called, and objects whose metamethods they are, to
// each library function at each place: no message is the library's own.
func TestEveryLibraryFunctionOfOthers(t *testing.T) {
	out, err := execute(t, "x.lua", uncallable+`
local functions = { pcall, xpcall, tostring, tonumber, print and type, error, assert, select, unpack, next, pairs, ipairs, rawequal, rawget, rawset, setmetatable, getmetatable, require }
for _, library in ipairs { string, table, math } do
  for _, f in pairs(library) do if type(f) == "function" then functions[#functions + 1] = f end end
end
local others = { nil, "abc", { 3, 2, 1 }, 2, function(...) return ... end }
local checked = 0
local function check(f, ...)
  local ok, m, n = pcall(f, ...)
  checked = checked + 1
  for _, m in ipairs { m or "", n or "" } do
    if type(m) == "string" and (m:find("^ ") or m:find("non%-function")) then print(m, ...) end
  end
end
for _, f in ipairs(functions) do
  for i = 1, count do
    local v = values[i]
    local object = { v, setmetatable({}, { __tostring = v, __lt = v, __concat = v, __index = v, __eq = v, __call = v }) }
    for k = 1, 2 do
      v = object[k]
      check(f, v) check(f, v, v) check(f, { v, v, 1 })
      for j = 1, 5 do
        check(f, others[j], v) check(f, others[j], others[j], v) check(f, others[j], "b", v) check(f, others[j], others[4], v)
      end
    end
  end
end
print(checked > 10000)
`, Limits{})
	if err != nil || !strings.HasSuffix(out, "true\n") || strings.Count(out, "\n") > 1 {
		t.Errorf("%v\n%.3000s", err, out)
	}
}
