-- Mistake in line 9: a flag is compared with a text.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    if r.flags.saturated == "true" then record.note("too bright") end
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
