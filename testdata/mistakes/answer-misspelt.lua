-- Mistake in line 8: an answer is compared with a word that cannot be chosen.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {}, operator = {} },
  run = function()
    local surface = operator.choose("Which surface has the screen?", { "matte", "glossy" })
    if surface == "mat" then
      record.note("the surface is matte")
    end
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {} }
  end,
}
