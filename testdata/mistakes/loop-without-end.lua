-- Mistake in line 8: a loop has no way out.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    while true do
      record.note("read " .. meter.read({}).Y)
    end
  end,
}
