-- What a script can see, told to the test: the module "see" of TestDrawsSeeWhatTheRunSaw.
local see = { calls = 0 }

-- fields lists what an object says that it has; the error of an unknown field names them.
local function fields(object)
  if getmetatable(object) == "error" then return { "code", "message", "hint" } end
  local _, wrong = pcall(function() return object["no such field"] end)
  local names = {}
  local list = type(wrong) == "userdata" and wrong.hint:match("^its fields are (.*)$") or ""
  for name in list:gmatch("[%w_]+") do names[#names + 1] = name end
  return names
end

-- text writes a value with all that is in it.
local function text(v, depth)
  local kind = type(v)
  if kind == "number" then return ("%.17g"):format(v) end
  if kind == "string" then return ("%q"):format(v:sub(1, 2000)) .. #v end
  if kind ~= "table" and kind ~= "userdata" then return tostring(v) end
  local parts = { tostring(v), tostring(getmetatable(v)) }
  if depth > 3 then return table.concat(parts, " ") end
  if kind == "userdata" then
    for _, name in ipairs(fields(v)) do
      local ok, x = pcall(function() return v[name] end)
      parts[#parts + 1] = name .. "=" .. (ok and text(x, depth + 1) or "! " .. tostring(x))
    end
  else
    local n = 0
    for k, x in pairs(v) do
      n = n + 1
      if n <= 6 then parts[#parts + 1] = text(k, depth + 1) .. "=" .. text(x, depth + 1) end
    end
    parts[#parts + 1] = "of " .. n .. ", #" .. #v
  end
  return table.concat(parts, " ")
end

-- all tells what a call gave, and the time then.
function see.all(name, ...)
  see.calls = see.calls + 1
  local parts = { see.calls .. " " .. name .. " at " .. ("%.17g"):format(clock.now()) .. " gave " .. select("#", ...) }
  for i = 1, select("#", ...) do parts[#parts + 1] = text((select(i, ...)), 0) end
  probe.tell(table.concat(parts, "; "))
end

-- The ways in which a script can call something that may fail.
function see.plain(name, f) see.all(name, pcall(f)) end
function see.direct(name, f, ...) see.all(name, pcall(f, ...)) end
function see.handled(name, f) see.all(name, xpcall(f, function(e) return { e, tostring(e) } end)) end
function see.again(name, f)
  see.all(name, pcall(function()
    local ok, e = pcall(f)
    if not ok then error(e, 2) end
    return e
  end))
end
function see.worded(name, f)
  see.all(name, pcall(function()
    local ok, e = pcall(f)
    if not ok then error("it says: " .. tostring(e), 1) end
    return e
  end))
end
function see.part(name, f) see.all(name, pcall(run.part, name, f)) end
function see.unbroken(name, f) see.all(name, pcall(run.unbroken, name, f)) end
function see.raised(name, f)
  see.all(name, pcall(function() error({ f = f, n = see.calls }) end))
end

return see
