-- Mistake: a quick meter integrates over a mains period, whatever the light does.
-- Lesson: The light is switched 180.3 times a second, so 20 ms hold 3.6 periods: sometimes one bright time more and sometimes
--   one less. Every reading is off by a few percent, now up, now down. Fit the integration to whole periods of this light.
-- Right: right/whole-periods.lua
-- Trial: trials/switched-light.lua, quick meter
-- Bias: unsteadiness 5 to 25
return procedure {
  title    = "Steadiness, with a quick meter",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local low, high = nil, nil
    patches.show { grey = 1, window = 10 }
    clock.wait(2)
    for _ = 1, 12 do
      local y = meter.read({}).Y
      low, high = math.min(low or y, y), math.max(high or y, y)
    end
    record.value { name = "Unsteadiness", value = 100 * (high / low - 1), unit = "%" }
  end,
}
