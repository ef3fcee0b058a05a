-- Mistake in line 9: a pattern is written as in another language.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {} }
    if run.mode:match("^Cinema \\d$") then
      record.note("a mode for films")
    end
  end,
}
