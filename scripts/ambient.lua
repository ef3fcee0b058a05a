local rewarm = require "rewarm"
local room = require "room"

local changes_below = 0.5 -- %: a lamp drifts by as much

-- light sets the lamp and waits. One that was dark has to warm up.
local function light(p, level, before)
  patches.black()
  rig.set { lamp = p.lamp, level = level }
  clock.wait(level > 0 and before == 0 and p.lamp_warm_up or p.lamp_settling)
end

local function illuminance(p, level)
  if p.illuminance == "read" then return rig.lux { at = "screen" } end
  return operator.ask(string.format("Illuminance in the plane of the screen, with the lamp at %g %%?", level),
    { unit = "lx", min = 0, max = 200000, relative = p.lux_uncertainty, example = 8 * level })
end

local function measure(p, grey)
  if grey == 0 then patches.black() else patches.show { grey = grey, window = p.window } end
  return meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }
end

-- level_at measures black, white and the greys at one level of the lamp.
local function level_at(p, level)
  local at = { level = level, lux = illuminance(p, level), greys = {} }
  at.black, at.white = measure(p, 0), measure(p, 1)
  for i, grey in ipairs(p.greys) do at.greys[i] = measure(p, grey) end
  return at
end

-- pass measures at some levels, one after the other.
local function pass(p, levels, before)
  local all = {}
  for i, level in ipairs(levels) do
    light(p, level, before)
    if p.adapting > 0 then
      patches.show { grey = 0.5, window = p.window }
      clock.wait(p.adapting)
    end
    all[i], before = level_at(p, level), level
  end
  return all
end

local function table_of(p, name, all, dark)
  local tab = record.table(name, { { "lamp", "%" }, { "illuminance", "lx" }, { "white", "cd/m2" }, { "black", "cd/m2" },
    { "emitted", "cd/m2" }, { "contrast" }, { "exponent" } })
  for _, at in ipairs(all) do
    tab:add {
      lamp = at.level, illuminance = at.lux, white = at.white, black = at.black, emitted = room.emitted(at.white, at, dark),
      contrast = not at.black.bound and at.white.Y / at.black.Y or nil,
      exponent = p.greys[1] and room.exponent(p.greys[1], at.greys[1], at, dark) or nil,
    }
  end
end

-- plot_of draws what the unit emits on the way up and down, by the illuminance on the way up.
local function plot_of(up, falling)
  local tab = record.table("Emitted by illuminance", { { "illuminance", "lx" }, { "up", "cd/m2" }, { "down", "cd/m2" } })
  for i, at in ipairs(up) do
    local back = falling[#up - i] or at
    tab:add { illuminance = at.lux, up = room.emitted(at.white, at, up[1]), down = room.emitted(back.white, back, up[1]) }
  end
  record.plot { table = tab, x = "illuminance", y = { "up", "down" } }
end

-- moves lists by how much the light that the unit emits differs between pairs of levels, in percent.
local function moves(pairs_of, dark)
  local changes = {}
  for _, pair in ipairs(pairs_of) do
    local a, b = pair[1], pair[2]
    table.insert(changes, { change = 100 * (room.emitted(b.white, b, dark) / room.emitted(a.white, a, dark) - 1),
      limit = math.max(changes_below, 3 * room.known(a.white, b.white)), readings = { a.white, b.white },
      where = string.format("%.3g lx", b.lux) })
  end
  return changes
end

-- tones lists by how much tone and grey differ from those in the dark room.
local function tones(p, all, dark)
  local exponents, greys = {}, {}
  for i = 2, #all do
    local at = all[i]
    for k, signal in ipairs(p.greys) do
      local grey, where = at.greys[k], string.format("%.3g lx, grey %g", at.lux, signal)
      local from = { grey, at.white, dark.greys[k], dark.white }
      local was, now = room.exponent(signal, dark.greys[k], dark, dark), room.exponent(signal, grey, at, dark)
      if was and now then
        table.insert(exponents, { change = now - was, readings = from, where = where,
          limit = math.max(changes_below, 3 * room.known(grey, at.white, dark.greys[k], dark.white)) / 100 / -math.log(signal) })
      end
      local uv_was, uv_now = room.chromaticity(dark.greys[k], dark, dark), room.chromaticity(grey, at, dark)
      if uv_was and uv_now then
        table.insert(greys, { change = math.sqrt((uv_now.u - uv_was.u) ^ 2 + (uv_now.v - uv_was.v) ^ 2), limit = 0.001,
          readings = { grey, dark.greys[k] }, where = where })
      end
    end
  end
  return exponents, greys
end

local function record_end(name, at)
  record.value { name = "Ambient contrast, automatic brightness " .. name, value = at.white.Y / at.black.Y,
    bound = at.black.bound and "lower" or nil, from = { at.white, at.black } }
end

local function record_luminance(name, at, dark)
  record.value { name = "Luminance in the " .. name .. ", automatic brightness on", value = room.emitted(at.white, at, dark),
    unit = "cd/m2", from = at == dark and { at.white } or { at.white, at.black } }
end

return procedure {
  title    = "Ambient light",
  purpose  = "Measures a unit in a lit room, from dark to the brightest level of a lamp: how much of the light the screen reflects, "
    .. "the contrast that is left, and what automatic brightness makes of luminance, tone and grey, up and down. The meter must stand away "
    .. "from the screen: one that touches it keeps the room's light off it.",
  needs    = { meter = {}, patches = {}, unit = {}, rig = { lamps = true, lux = "optional" }, operator = {} },
  caution  = "Bright lamps dazzle, and what stands near them gets hot, the unit too. Do not look into a lamp or into its reflection in the "
    .. "screen. Keep cables and cloth away from lamps, and stop if the unit gets hotter than its instructions allow.",
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  params   = {
    lamp     = { default = "front", help = "states the name of the lamp that lights the screen" },
    levels   = { default = { 0, 10, 25, 50, 100 }, unit = "%", min = 0, max = 100,
      help = "sets the levels of the lamp, from 0 upwards; the unit is measured at each, up and down" },
    greys    = { default = { 0.5 }, min = 0.05, max = 0.95,
      help = "sets the greys by which tone and grey are judged, as signals" },
    window   = { default = 10, unit = "%", min = 0.1, max = 100,
      help = "sets the share of the screen that the window covers" },
    illuminance = { default = "read", one_of = { "read", "typed" },
      help = "chooses who knows the illuminance of the screen; read: the rig; typed: the operator, who reads a light meter" },
    lux_uncertainty = { default = 4, unit = "%", min = 0, max = 100,
      help = "states the standard uncertainty of illuminances that are typed" },
    lamp_warm_up  = { default = 900, unit = "s", min = 0, max = 7200,
      help = "sets how long the lamp warms up each time it is switched on" },
    lamp_settling = { default = 30, unit = "s", min = 0, max = 3600,
      help = "sets the wait after each other change of the lamp" },
    adapting = { default = 30, unit = "s", min = 0, max = 3600,
      help = "sets how long the unit shows a grey to adapt to each level; automatic brightness of some units takes half a minute" },
    delay    = { default = 2, unit = "s", min = 0, max = 3600,
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600,
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision = { default = 0.2, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
  },
  on_resume = function(p, pause)
    if pause.seconds == 0 then return end
    rewarm.after(pause)
    rig.set { lamp = p.lamp, level = 100 } -- a pause turns lamps off
    clock.wait(p.lamp_warm_up)
  end,
  run = function(p)
    for i, level in ipairs(p.levels) do
      if i == 1 and level ~= 0 or i > 1 and level <= p.levels[i - 1] then
        error("levels must begin with 0 and rise, as in 0, 25, 100", 0)
      end
    end
    if #p.levels < 2 then error("levels must have two levels or more, as in 0, 100", 0) end
    local down, each = {}, 2 + #p.greys
    for i = #p.levels - 1, 1, -1 do table.insert(down, p.levels[i]) end
    run.readings((3 * #p.levels - 1) * each)

    local off = run.part("automatic brightness off", function() return pass(p, p.levels, 0) end)
    local dark, bright = off[1], off[#off]
    table_of(p, "Automatic brightness off", off, dark)

    unit.set { ["automatic brightness"] = "on" }
    local up, falling
    run.unbroken("automatic brightness on", function()
      up = pass(p, p.levels, 0)
      falling = pass(p, down, p.levels[#p.levels])
    end)
    unit.set { ["automatic brightness"] = "off" }
    local on = {}
    for _, at in ipairs(up) do table.insert(on, at) end
    for _, at in ipairs(falling) do table.insert(on, at) end
    table_of(p, "Automatic brightness on, up and down", on, up[1])
    plot_of(up, falling)

    local reflectance, blacks = room.reflectance(off)
    record.value { name = "Reflectance", value = reflectance, unit = "%", from = blacks }
    record.value { name = "Highest illuminance", value = bright.lux, unit = "lx" }
    record_end("off", bright)
    record_end("on", up[#up])
    record_luminance("dark", up[1], up[1])
    record_luminance("light", up[#up], up[1])

    local steady, between = {}, {}
    for i = 2, #off do table.insert(steady, { dark, off[i] }) end
    for i, at in ipairs(falling) do table.insert(between, { up[#up - i], at }) end
    room.largest("Change by the room, automatic brightness off", "%", moves(steady, dark))
    room.largest("Difference between down and up", "%", moves(between, up[1]))
    local exponents, greys = tones(p, up, up[1])
    room.largest("Change of tone", nil, exponents)
    room.largest("Change of grey", nil, greys)
    record.note("Luminances in the light are without what the screen reflects: that is the black at the same level, less the black in the "
      .. "dark. A black that changes with automatic brightness makes them wrong by its change. Contrasts are with it. The reflectance is "
      .. "of this lamp in this place, with the screen taken for a diffuse reflector (L = R E / pi); a mirror image of the lamp is not part "
      .. "of it. Keep the unit's light sensor free: a meter in front of it shades it.")
  end,
}
