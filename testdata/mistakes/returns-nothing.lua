-- Mistake in line 11: a function forgets to return its reading.
local function white(window)
  patches.show { grey = 1, window = window }
  meter.measure {}
end
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local r = white(10)
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
