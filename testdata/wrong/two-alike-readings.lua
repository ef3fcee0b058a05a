-- Mistake: the panel counts as warm as soon as two readings, half a minute apart, agree within half a percent.
-- Lesson: A slow drift of 8 % in an hour is a tenth of a percent in half a minute: the first two readings agree, and the panel
--   is cold. Ask for a drift over a time that is long against what you fear, and never end a series on one reading.
-- Right: right/warm-white.lua
-- Trial: trials/white-from-cold.lua, dunlin-27 with warmup.on_for
-- Bias: white-luminance -8.5 to -6.5 %
return procedure {
  title    = "White, once two readings agree",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 10 }
    local last = meter.read { after = 2 }
    while true do
      clock.wait(30)
      local r = meter.read {}
      local alike = run.decide("alike", math.abs(r.Y / last.Y - 1) < 0.005)
      last = r
      if alike then break end
    end
    record.value { name = "White luminance", value = last.Y, unit = "cd/m2" }
  end,
}
