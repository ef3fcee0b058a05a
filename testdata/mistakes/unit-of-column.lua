-- Mistake in line 7: a column of a table has a unit that is none of the trade.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local sweep = record.table("Sweep", { { "window", "percent" }, { "luminance", "cd/m2" } })
    for _, w in ipairs { 10, 50, 100 } do
      patches.show { grey = 1, window = w }
      sweep:add { window = w, luminance = meter.measure {} }
    end
    record.plot { table = sweep, x = "window", y = "luminance" }
  end,
}
