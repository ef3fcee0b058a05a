-- Mistake: many readings of one patch that never changes are averaged, to get rid of noise.
-- Lesson: The television takes still content for a logo and dims it after two minutes. The mean of five minutes is well known
--   and wrong. Read until the mean is known well enough and no longer, and let the picture change.
-- Right: window-sweep
-- Trial: trials/peak-of-a-television.lua, fulmar-55
-- Bias: peak-luminance -11 to -8 %
return procedure {
  title    = "Peak, from three hundred readings",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 3 }
    local all = {}
    for i = 1, 300 do all[i] = meter.read { after = 12 }.Y end
    record.value { name = "Peak luminance", value = stats.mean(all), unit = "cd/m2" }
  end,
}
