-- Mistake: a quick meter integrates over a mains period, whatever the light does.
-- Lesson: The light is switched 180.3 times a second, so 20 ms hold 3.6 periods: sometimes one bright time more and sometimes
--   one less. Every reading is off by a few percent, now up, now down. Fit the integration to whole periods of this light.
-- Right: right/whole-periods.lua
-- Trial: trials/switched-light.lua, quick meter
-- Bias: white-luminance -8 to -4 %
return procedure {
  title    = "Greys, with a quick meter",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    for name, grey in pairs { White = 1, Grey = 0.6, Dark = 0.4 } do
      patches.show { grey = grey, window = 10, bits = 8 }
      record.value { name = name .. " luminance", value = meter.read { after = 2 }, unit = "cd/m2" }
    end
  end,
}
