-- Mistake: the primaries are read with a filter colorimeter, and stated as read.
-- Lesson: Its filters are a little off, which a lamp hides and the narrow light of a panel shows. The meter agrees with itself
--   from day to day, so its scatter says nothing. Correct it on this panel against a spectroradiometer, from red, green, blue and
--   white.
-- Right: right/corrected-primaries.lua
-- Trial: trials/primaries-by-filters.lua, filters
-- Bias: green-x -0.03 to -0.015
return procedure {
  title    = "Primaries, as the meter reads them",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    for name, rgb in pairs { Red = { 1, 0, 0 }, Green = { 0, 1, 0 }, Blue = { 0, 0, 1 } } do
      patches.show { rgb = rgb, window = 10 }
      local r = meter.read { after = 3, repeats = 10, sync = true }
      record.value { name = name .. " x", value = r.x, unit = "" }
      record.value { name = name .. " y", value = r.y, unit = "" }
    end
  end,
}
