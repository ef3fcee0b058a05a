-- Each place is held against the mean of the middle before and after it.
return procedure {
  title    = "Uniformity, with a control place",
  purpose  = "By how much places differ from the middle of the screen.",
  needs    = { meter = {}, patches = {}, rig = { place = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 100 }
    local function read(x, y)
      rig.place { x = x, y = y }
      return meter.read({ after = 2, repeats = 10 }).Y
    end
    local before, off = read(0.5, 0.5), nil
    for _, y in ipairs { 0.5, 0.1, 0.3, 0.7, 0.9 } do
      for _, x in ipairs { 0.5, 0.1, 0.3, 0.7, 0.9 } do
        local place, after = read(x, y), read(0.5, 0.5)
        off, before = 100 * (place / ((before + after) / 2) - 1), after
      end
    end
    record.value { name = "Last place", value = off, unit = "%" }
  end,
}
