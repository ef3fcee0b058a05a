-- Mistake: the smallest window is taken for the brightest, though the meter sees more of the screen than it covers.
-- Lesson: The meter sees 0.95 % of the screen, so of a window of 0.5 % it reads half light and half black. A meter in contact
--   cannot tell. Know the meter's field, and leave out windows that do not fill it.
-- Right: window-sweep
-- Trial: trials/peak-of-a-wide-field.lua, default with meter.field
-- Bias: peak-luminance -49 to -46 %
return procedure {
  title    = "Peak, on the smallest window",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 0.5 }
    record.value { name = "Peak luminance", value = meter.read { after = 2, relative = 0.1 }, unit = "cd/m2" }
  end,
}
