-- Readings of light that has settled, and why a reading is not the luminance that
-- its patch gives.
local steady = {}

-- Light counts as settled where it drifts by no more than this over that time
-- (model of our own). A panel that approaches its light with a time constant of
-- 20 s is then within 0.2 % of it.
local within, over = 0.15, 15 -- %, s

-- told gives what a procedure needs of a reading. doubt says why its luminance is
-- not what the patch gives; limit says that it is a lower limit nevertheless.
local function told(r, doubt)
  doubt = doubt or r.doubt
  return { reading = r, Y = r.Y, u = r.u_Y, doubt = doubt, limit = doubt ~= nil and not r.flags.drifting and doubt == r.doubt }
end

-- read reads what is shown. Where the light is still changing it waits until that
-- has settled, for p.longest_settling seconds at most, and reads again. One reading
-- does not show a slow change. So with look.watch the light is watched in any case;
-- it is true, or a function that says so of the first reading. look.least is the
-- least number of single readings. All readings are over whole periods of the light.
function steady.read(p, look)
  look = look or {}
  local least = look.least or 5
  local asked = { after = p.delay, relative = p.precision, least = least, most = math.max(50, least), sync = true }
  local r = meter.read(asked)
  local about, watch = meter.about(), look.watch
  if type(watch) == "function" then watch = watch(r) end
  local wait = run.decide("watch the light settle", p.longest_settling > 0 and not about.by_hand and (watch or r.flags.drifting))
  if not wait then return told(r) end
  local settled = meter.settle {
    within = math.max(within, about.repeatability or 0), over = math.min(over, p.longest_settling / 2),
      timeout = p.longest_settling,
  }.settled
  r = meter.read(asked)
  return told(r, not settled and string.format("the light was still changing after %g s", p.longest_settling) or nil)
end

-- stated gives the reading that can be stated as a value, or nil and why not.
function steady.stated(row)
  if row.doubt and not row.limit then return nil, row.doubt end
  return row.reading, ""
end

-- first gives the doubt of the first row that has one.
function steady.first(rows)
  for _, row in ipairs(rows) do
    if row.doubt then return row.doubt end
  end
  return nil
end

return steady
