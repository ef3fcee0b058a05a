-- Mistake in line 9: the flags of a reading are taken for a list.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    for _, word in ipairs(r.flags) do
      record.note("the meter says " .. word)
    end
    record.value { name = "White", value = r }
  end,
}
