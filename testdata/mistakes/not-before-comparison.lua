-- Mistake in line 9: not is taken before the comparison.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    if not r.bound == "upper" then
      record.note("the meter can read it")
    end
    record.value { name = "White", value = r }
  end,
}
