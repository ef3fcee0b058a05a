-- Mistake in line 8: two arguments are in the wrong order.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {}, operator = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local kind = operator.choose({ "glossy", "matt" }, "How is the surface?")
    record.note("the surface is " .. kind)
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
