-- Mistake: the light of white is taken to be that of red, green and blue together.
-- Lesson: This panel has a white subpixel that gives more light than the primaries it stands in for, so white is brighter than
--   their sum. Primaries add on panels without one. Look whether they do before anything is computed from them.
-- Right: window-sweep
-- Trial: trials/peak-of-a-television.lua, fulmar-55
-- Bias: peak-luminance -23 to -19 %
return procedure {
  title    = "Peak, as the sum of the primaries",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local sum = 0
    for _, rgb in ipairs { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } } do
      patches.show { rgb = rgb, window = 2 }
      sum = sum + meter.read({ after = 12, relative = 0.1 }).Y
    end
    record.value { name = "Peak luminance", value = sum, unit = "cd/m2" }
  end,
}
