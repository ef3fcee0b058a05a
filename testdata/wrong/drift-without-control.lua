-- Mistake: places are read one after the other against a first reading of the middle, while the panel warms.
-- Lesson: The panel is even and gains light all the while, so the corner that is read last looks brighter than the middle.
--   Read the middle again beside every place, and compare neighbours in time.
-- Right: right/places-with-control.lua
-- Trial: trials/even-panel.lua, warming
-- Bias: last-place 2 to 3.5
return procedure {
  title    = "Uniformity, against the first reading",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {}, rig = { place = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 100 }
    local middle, last = nil, nil
    for _, y in ipairs { 0.5, 0.1, 0.3, 0.7, 0.9 } do
      for _, x in ipairs { 0.5, 0.1, 0.3, 0.7, 0.9 } do
        rig.place { x = x, y = y }
        last = meter.read { after = 2, repeats = 10 }
        middle = middle or last
      end
    end
    record.value { name = "Last place", value = 100 * (last.Y / middle.Y - 1), unit = "%" }
  end,
}
