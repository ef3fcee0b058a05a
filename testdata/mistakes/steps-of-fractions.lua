-- Mistake in line 8: a loop in steps of 0.05 does not reach white.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local t = record.table("Tone", { { "grey" }, { "luminance", "cd/m2" } })
    for grey = 0, 1, 0.05 do
      patches.show { grey = grey, window = 10 }
      t:add { grey = grey, luminance = meter.measure {} }
    end
  end,
}
