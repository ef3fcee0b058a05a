-- The libraries as Lua 5.1 has them; where no other source is named, the reference manual, chapter 5.
assert(tonumber("2e2") == 200 and tonumber(" 0x1F ") == 31 and tonumber("10", 2) == 2 and tonumber("zz", 36) == 1295)
assert(tonumber("") == nil and tonumber("1e") == nil and tonumber("1_0") == nil and tonumber("infx") == nil and tonumber("0x1p") == nil)
assert(tonumber("inf") == math.huge and tonumber("-Infinity") == -math.huge and tonumber("0x1p4") == 16 and tonumber("0x1.8") == 1.5 and tostring(tonumber("nan")) == "nan") -- as C99 reads them
assert(tonumber("-ff", 16) == 2^64 - 255 and tonumber("0xff", 16) == 255 and tonumber(("f"):rep(20), 16) == 2^64 and tonumber("1\0x") == 1)
assert(tonumber("0x") == nil and tonumber("- 1") == nil and tonumber("--1") == nil and tonumber("5.") == 5 and tonumber({}) == nil)
assert(tonumber("-0x10") == -16 and tonumber("1", 2) == 1 and tonumber("9", 8) == nil and tonumber("1e999") == math.huge)
assert(tostring(1e15) == "1e+15" and tostring(2^53) == "9.007199254741e+15" and tostring(0.1 + 0.2) == "0.3")
assert(tostring(math.huge) == "inf" and tostring(-math.huge) == "-inf" and tostring(0/0) == "nan" and tostring(-5) == "-5")
local t = {}
assert(tostring(t) == "table: 1" and tostring(print) == "function: 2" and tostring(t) == "table: 1")
assert(select("#") == 0 and select(2, "a", "b", "c") == "b" and select(-1, "a", "b") == "b" and select("#", nil, nil) == 2)
assert(rawequal("a", "a") and not rawequal({}, {}) and rawget(setmetatable({}, { __index = { x = 1 } }), "x") == nil)
assert(type(nil) == "nil" and type(type) == "function" and next({}) == nil and next({ 5 }) == 1)
assert(_VERSION == "Lua 5.1")
---
-- pairs follows insertion order, also after removals
local t = {}
for _, k in ipairs({ "z", "a", "m", "b" }) do t[k] = true end
t.a = nil
t.q = 1
t[1] = "first"
local order = {}
for k in pairs(t) do order[#order + 1] = tostring(k) end
assert(table.concat(order, ",") == "1,z,m,b,q", table.concat(order, ","))
---
-- string
assert(("hello"):sub(2, -2) == "ell" and ("x"):sub(5) == "" and ("hello"):sub(-3) == "llo" and ("abc"):sub(0) == "abc")
assert(("abc"):byte(-1) == 99 and select("#", ("abc"):byte(1, -1)) == 3 and string.char(72, 105) == "Hi" and string.char() == "")
assert(("aBc"):upper() == "ABC" and ("aBc"):lower() == "abc" and ("abc"):reverse() == "cba" and ("ab"):rep(3) == "ababab" and ("x"):rep(-1) == "")
assert(("abc"):find("b", 1, true) == 2 and ("abc"):find("") == 1 and ("abc"):find("", 10) == 4 and ("a.c"):find(".", 1, true) == 2)
assert(("abc"):find("x", 10, true) == nil)
local a, b, c = ("key = value"):find("(%w+) = ")
assert(a == 1 and b == 6 and c == "key")
assert(("  trim "):match("^%s*(.-)%s*$") == "trim" and ("2024-05-06"):match("(%d+)-(%d+)-(%d+)") == "2024")
assert(("THE (quick) fox"):find("%((%a+)%)") == 5 and ("f(a(b)c)d"):match("%b()") == "(a(b)c)" and ("x"):match("()") == 1)
assert(("THE (quick) fox"):gsub("%f[%a]%a+", "w") == "w (w) w" and ("abc"):gsub("", "-") == "-a-b-c-" and ("abab"):gsub("a", "x", 1) == "xbab")
assert(("hello world"):gsub("o", { o = "0" }) == "hell0 w0rld" and ("abc"):gsub("%w", "%0%0") == "aabbcc" and ("ab"):gsub("(a)(b)", "%2%1") == "ba")
assert(("abc"):gsub("b", function() return false end) == "abc" and ("abc"):gsub("b", function() end) == "abc")
assert(("alo"):match("^(a)(.)") == "a" and ("==x=="):match("(=+)x%1") == "==" and ("]"):match("[]]") == "]" and ("a-b"):match("[a%-]+") == "a-")
local words = {}
for k, v in ("a=1, b=2"):gmatch("(%w+)=(%w+)") do words[#words + 1] = k .. v end
assert(table.concat(words, " ") == "a1 b2")
assert(("%d"):format(3.99) == "3" and ("%5.1f|%-5d|%05d|%+d"):format(3.14159, 42, -7, 5) == "  3.1|42   |-0007|+5")
assert(("%x %X %#x %o %c %e %g %G"):format(255, 255, 255, 8, 65, 12345.678, 1e20, 1e-10) == "ff FF 0xff 10 A 1.234568e+04 1e+20 1E-10")
assert(("%q"):format('a"b\\c\n\0') == '"a\\"b\\\\c\\\n\\000"' and ("%s %10.2s|%%"):format(nil, "xyz") == "nil         xy|%" and ("%i %u"):format(7, 8) == "7 8")
assert(("%.3d %.0f %5s %-5s|"):format(5, 0.5, "a", "b") == "005 0     a b    |" and ("%g"):format(100000) == "100000" and ("%g"):format(1e6) == "1e+06")
assert(("%f %g"):format(math.huge, -math.huge) == "inf -inf" and ("%.14g"):format(0.1) == "0.1")
---
("%p"):format(1) --! "is not a conversion"
---
("%T"):format(1) --! "is not a conversion"
---
("%#v"):format(1) --! "is not a conversion"
---
("%100d"):format(1) --! "is over 99"
---
("%.100f"):format(1) --! "is over 99"
---
("%d"):format("x") --! "string.format: argument 2 is a string value; it must be a number"
---
("%d"):format() --! "string.format: argument 2 is missing"
---
("%"):format() --! "is not a conversion"
---
("x"):find("[") --! "a [ without its ]"
---
("x"):find("%") --! "ends after %"
---
("x"):match("(x") --! "a ( without its )"
---
("x"):match("x)") --! "a ) without its ("
---
("x"):match("%1") --! "%1 in the pattern refers to no capture"
---
("x"):match("%b") --! "%b in the pattern wants two characters"
---
("x"):match("%fx") --! "%f in the pattern wants a set"
---
("x"):match(("()"):rep(33)) --! "more than 32 captures"
---
("x"):rep(300):match(("x?"):rep(300) .. "y") --! "too complex"
---
("x"):gsub("x", "%2") --! "%2 in the replacement refers to no capture"
---
("x"):gsub("x", true) --! "argument 3 is a boolean value"
---
("x"):gsub("x", function() return {} end) --! "the replacement is a table value"
---
string.char(256) --! "argument 1 is 256; it must be 0 to 255"
---
-- table
local t = { 1, 2, 3 }
table.insert(t, 4) table.insert(t, 1, 0)
assert(table.concat(t, ",") == "0,1,2,3,4" and table.remove(t) == 4 and table.remove(t, 1) == 0 and #t == 3)
assert(table.concat({}) == "" and table.concat({ 1, "a", 2.5 }, "-", 2, 3) == "a-2.5" and table.remove({}) == nil and table.remove(t, 9) == nil)
assert(table.maxn({ 1, nil, 3, [10.5] = 1 }) == 10.5 and select("#", unpack({ 1, nil, 3 }, 1, 3)) == 3 and select("#", unpack({})) == 0)
local a, b = table.unpack({ 5, 6 })
assert(a == 5 and b == 6)
---
-- sorting is stable, and safe with any comparison
local t = {}
for i = 1, 100 do t[i] = { key = i % 5, at = i } end
table.sort(t, function(a, b) return a.key < b.key end)
for i = 2, 100 do assert(t[i - 1].key < t[i].key or t[i - 1].key == t[i].key and t[i - 1].at < t[i].at) end
table.sort(t, function() return true end)
table.sort(t, function() return false end)
assert(#t == 100)
local u = { 3, 1, 2 }
u[#u] = nil
table.sort(u)
assert(u[1] == 1 and u[2] == 3 and #u == 2)
table.sort({ "b", "a" })
---
table.sort({ 1, "x" }) --! "attempt to compare a string value with a number value"
---
table.sort({ 1, 2, 3 }, function(a, b) error("in the comparison") end) --! "in the comparison"
---
table.sort({}, 5) --! "argument 2 is a number value; it must be a function"
---
table.insert({}, 5, 1) --! "position is 5; it must be 1 to 1"
---
table.insert({}) --! "1 arguments; it takes a table"
---
table.concat({ 1, {} }) --! "item 2 is a table value"
---
-- math
assert(math.huge == 1/0 and math.floor(-1.5) == -2 and math.ceil(1.2) == 2 and math.max(1, 3, 2) == 3 and math.min(2, 1) == 1)
assert(math.fmod(-5, 3) == -2 and -5 % 3 == 1 and select(2, math.modf(-1.5)) == -0.5 and math.modf(math.huge) == math.huge)
assert(math.ldexp(0.5, 3) == 4 and math.frexp(8) == 0.5 and math.abs(-3) == 3 and math.sqrt(16) == 4 and math.pow(2, 10) == 1024)
for i = 1, 1000 do
  local r, n, m = math.random(), math.random(6), math.random(-2, 2)
  assert(r >= 0 and r < 1 and n >= 1 and n <= 6 and n == math.floor(n) and m >= -2 and m <= 2)
end
---
math.random(0) --! "no whole number lies from 1 to 0"
---
math.random(1, 2, 3) --! "3 arguments"
---
math.max() --! "math.max: argument 1 is missing"
---
math.floor("x") --! "math.floor: argument 1 is a string value"
---
-- require
local m = require "plain"
assert(m.answer == 42 and require "plain" == m and require "lib.inner" == "lib.inner")
assert(require "counts" == true and require "counts" == true and counted == 1)
---
require "missing" --! "require: 'missing': no file missing.lua is beside the procedure"
---
require "../etc/passwd" --! "is not a module name"
---
require "a..b" --! "is not a module name"
---
require "/etc" --! "is not a module name"
---
require "" --! "is not a module name"
---
local ok, e = pcall(require, "circle")
assert(not ok and e:find("'circle' requires itself: circle %-> circle2 %-> circle"), tostring(e))
---
local ok, e = pcall(require, "broken")
assert(not ok and tostring(e) == "broken.lua:1: this is not Lua near '='", tostring(e))
---
local ok, e = pcall(require, "fails")
assert(not ok and tostring(e) == "fails.lua:2: attempt to use field 'x' of a nil value (r)", tostring(e))
