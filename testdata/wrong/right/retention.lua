-- A place that is stressed and one that never is, read before and after a stress that the source times; the residual and its
-- time follow from a fit of the whole decay.
local stressed, control = { 0.5, 0.5 }, { 0.1, 0.1 }

-- sample reads for so many seconds, mostly the stressed place; each of its readings counts against a straight line through
-- the control's, which follows what the whole panel does meanwhile.
local function sample(duration, lit)
  local list, times, levels = {}, {}, {}
  local function read_control()
    local r = meter.read { at = control }
    table.insert(times, (r.began + r.ended) / 2 - lit)
    table.insert(levels, r.Y)
  end
  read_control()
  while clock.now() < lit + duration do
    for _ = 1, 3 do
      local r = meter.read { at = stressed }
      table.insert(list, { from = r.began - lit, to = r.ended - lit, Y = r.Y })
    end
    read_control()
  end
  local line = stats.line { x = times, y = levels }
  for _, s in ipairs(list) do
    s.ratio = s.Y / (line.intercept + line.slope * (s.from + s.to) / 2)
  end
  return list
end

return procedure {
  title    = "Retention of a white box",
  purpose  = "What a white box leaves behind on a grey, and for how long.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    stress = { default = 60, unit = "s", min = 1, max = 3600, help = "how long the box stands" },
    within = { default = 0.2, unit = "%", min = 0.01, max = 10, help = "the residual that is allowed" },
  },
  run = function(p)
    patches.black()
    clock.wait(300)
    local before = {}
    local grey = patches.show { grey = 0.2 }
    for _, s in ipairs(sample(60, grey.lit)) do table.insert(before, s.ratio) end
    patches.black()
    clock.wait(300)

    local shown = patches.sequence { { grey = 1, window = 10, hold = p.stress }, { grey = 0.2, hold = 0.1 } }
    local from, to, y = {}, {}, {}
    for _, s in ipairs(sample(120, shown[2].lit)) do
      table.insert(from, s.from)
      table.insert(to, s.to)
      table.insert(y, 100 * (s.ratio / stats.mean(before) - 1))
    end
    local fit = stats.decay { from = from, to = to, y = y, offset = 0 }
    local crossing = fit:crossing(p.within)
    record.value { name = "Residual", value = fit:at(0), unit = "%" }
    record.value { name = "Residual time", value = crossing.x, unit = "s", why = crossing.why }
  end,
}
