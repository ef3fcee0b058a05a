-- Readings of light that has settled, and what stands against those that are
-- not what their patch gives.
local steady = {}

-- Light counts as settled where it drifts by no more than this over that time
-- (model of our own). A panel that approaches its light with a time constant of
-- 20 s is then within 0.2 % of it.
local within, over = 0.15, 15 -- %, s

-- told gives what a procedure needs of a reading: doubt says why its luminance
-- is not what the patch gives, and limit that it is a lower limit all the same.
local function told(r, doubt)
  doubt = doubt or r.doubt
  return { reading = r, Y = r.Y, u = r.u_Y, doubt = doubt, limit = doubt ~= nil and not r.flags.drifting and doubt == r.doubt }
end

-- read reads what is shown. Where the light still changes it waits until that
-- has settled, for p.patience seconds at most, and reads again. A slow change does
-- not show in one reading: with look.watch, true or a function that says so of the
-- reading, the light is watched in any case. look.least is how many single
-- readings to take at least. All are over whole periods of the light.
function steady.read(p, look)
  look = look or {}
  local least = look.least or 5
  local asked = { after = p.onset, relative = p.precision, least = least, most = math.max(50, least), sync = true }
  local r = meter.read(asked)
  local about, watch = meter.about(), look.watch
  if type(watch) == "function" then watch = watch(r) end
  local wait = run.decide("watch the light settle", p.patience > 0 and not about.by_hand and (watch or r.flags.drifting))
  if not wait then return told(r) end
  local settled = meter.settle {
    within = math.max(within, about.repeatability or 0), over = math.min(over, p.patience / 2), timeout = p.patience,
  }.settled
  r = meter.read(asked)
  return told(r, not settled and string.format("the light still changed %g s later", p.patience) or nil)
end

-- stated gives the reading that a value can be made of, or nil and why not.
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
