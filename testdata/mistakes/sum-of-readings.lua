-- Mistake in line 11: two readings are added, and not their luminances.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { rgb = { 1, 0, 0 }, window = 10 }
    local red = meter.measure {}
    patches.show { rgb = { 0, 1, 0 }, window = 10 }
    local green = meter.measure {}
    record.value { name = "Sum", value = red + green, unit = "cd/m2" }
  end,
}
