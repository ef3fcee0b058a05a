-- Errors name the line, the value and the source text.
local r
print(r.Y) --! "attempt to use field 'Y' of a nil value (r)"
---
local t = {}
t.x.y = 1 --! "attempt to use field 'y' of a nil value (t.x)"
---
local t = { window = nil }
local a = t.window + 1 --! "attempt to compute nil + number (t.window + 1)"
---
local meter = {}
meter.read() --! "attempt to call a nil value (meter.read)"
---
local meter = {}
meter:read() --! "attempt to call a nil value (meter:read)"
---
local f = 3
return f() --! "attempt to call a number value (f)"
---
for k in 5 do end --! "attempt to call a number value"
---
return 1 < "x" --! "attempt to compare a number value with a string value (1 < \"x\")"
---
return {} < {} --! "attempt to compare a table value with a table value"
---
return "a" .. {} --! "attempt to join a table value with '..'"
---
return "a" .. nil .. "b" --! "attempt to join a nil value with '..'"
---
return #5 --! "attempt to take the length of a value that is neither a table nor a text (5)"
---
return -{} --! "attempt to negate a value that is not a number"
---
return "abc" + 1 --! "text that is not a number: \"abc\""
---
for i = 1, {} do end --! "the last value of a for loop is not a number"
---
for i = "x", 2 do end --! "the first value of a for loop is not a number"
---
for i = 1, 2, "x" do end --! "the step of a for loop is not a number"
---
local t = {}
t[nil] = 1 --! "table index is nil"
---
local t = {}
t[0/0] = 1 --! "table index is NaN"
---
local function inner() error("too bright", 2) end
local function outer()
  inner() --! "too bright"
  local done
end
outer()
---
error("plain") --! "plain"
---
error({ message = "of a table" }) --! "of a table"
---
error({}) --! "a table was raised as an error"
---
assert(nil) --! "assertion failed"
---
assert(false, "given text") --! "given text"
---
assert(false, { message = "in a table" }) --! "in a table"
---
local n = 0
local function endless() n = n + 1 return 1 + endless() end --! "more than 200 calls are open at once"
endless()
---
local function nest(n) local ok, e = pcall(nest, n + 1) if not ok then error(e, 0) end end --! "more than 200 calls are open at once"
nest(1)
---
-- unknown names
local x = prnt --! "unknown name 'prnt'; did you mean 'print'?"
---
local x = floor --! "unknown name 'floor'; did you mean 'math.floor'?"
---
local x = setm --! "unknown name 'setm'; did you mean 'setmetatable'?"
---
prent = 1
local x = prnt --! "unknown name 'prnt'; did you mean 'prent' or 'print'?"
---
local x = entirely_other --! "unknown name 'entirely_other'; a variable needs a value"
---
windows = { 1, 2 }
print(window) --! "unknown name 'window'; did you mean 'windows'?"
---
assert(io == nil and os == nil and debug == nil and coroutine == nil and load == nil and loadstring == nil)
assert(dofile == nil and loadfile == nil and getfenv == nil and setfenv == nil and newproxy == nil)
assert(collectgarbage == nil and module == nil and package == nil and _printregs == nil and channel == nil)
assert(string.dump == nil and math.randomseed == nil and string.gfind == nil)
---
setmetatable(_G, {}) --! "protected"
---
assert(getmetatable("x") == nil and getmetatable(_G) == false)
a_global = 5
assert(_G.a_global == 5 and a_global == 5)
print = 3
assert(print == 3)
---
-- errors of arguments
tostring() --! "tostring: argument 1 is missing"
---
ipairs(nil) --! "ipairs: argument 1 is a nil value; it must be a table"
---
setmetatable({}, 5) --! "setmetatable: argument 2 is a number value; it must be a table"
---
setmetatable({}) --! "setmetatable: argument 2 is missing"
---
tonumber("1", 99) --! "base is 99; it must be 2 to 36"
---
select(-5, 1) --! "select: argument 1 is -5"
---
setmetatable(setmetatable({}, { __metatable = 1 }), nil) --! "protected"
---
tostring(setmetatable({}, { __tostring = function() return {} end })) --! "__tostring returned a table"
---
-- pcall and xpcall
local ok, e = pcall(error, { code = 7 })
assert(ok == false and e.code == 7)
assert(select("#", pcall(error)) == 2)
local ok, e = xpcall(function() error("x", 0) end, function(m) return m .. "!" end)
assert(ok == false and e == "x!")
local ok, e = xpcall(function() error("x", 0) end, function(m) error("again", 0) end)
assert(ok == false and e == "again")
local ok, a, b = pcall(function(...) return ... end, 1, nil)
assert(ok and a == 1 and b == nil)
local ok, e = pcall(error, "at", 0)
assert(e == "at")
local ok, e = pcall(function() error("at") end)
assert(e:find("^errors.lua:%d+: at$"), e)
---
-- a caught error leaves shared variables shared (upstream issue 448)
local n = 0
local function inc() n = n + 1 end
inc() pcall(error, "x") n = n + 10 inc() inc() inc()
assert(n == 14)
local fs = {}
for i = 1, 3 do
  local v = i
  pcall(function() fs[i] = function() v = v + 1 return v end error("x") end)
  v = v * 10
end
assert(fs[1]() == 11 and fs[2]() == 21 and fs[1]() == 12)
local out
pcall(function() local k = 1 out = function() k = k + 1 return k end pcall(error) k = 5 error("y") end)
assert(out() == 6 and out() == 7)
---
local a = 1
local b = 0x1p4 --! "'0x1p4' has a power of two as its exponent"
