-- Mistake in line 10: a name that is not there is joined to a text.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    local comment
    record.note("White was read: " .. comment)
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
