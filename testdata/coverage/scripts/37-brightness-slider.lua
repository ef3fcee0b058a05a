-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Exponent [1]: exponent of the power law fitted to slider factor 0.01 … 1 (10 … 100 by 15): of the linear law with offset, not 1. The number is
--     0.979092
--   Position for 200 cd/m2 [%]: slider position at which L = 200, straight lines. The number is 41.0773
--   Lowest over highest [%]: L(10)/L(100), %. The number is 10.8985
return procedure {
  title = "Brightness slider",
  purpose = "Exponent of luminance over the slider, and the position that gives 200 cd/m2.",
  needs = { meter = {}, patches = {}, unit = {} },
  settings = { ["automatic brightness"] = "off" },
  run = function(p)
    local x, y = {}, {}
    patches.show { grey = 1, window = 10 }
    for pos = 10, 100, 15 do
      unit.set { Brightness = pos }
      x[#x + 1] = pos
      y[#y + 1] = meter.read { repeats = 4, after = 1 }.Y
    end
    local fit = stats.power { x = x, y = y }
    record.value { name = "Exponent", value = fit.exponent, unit = "1" }
    record.value { name = "Position for 200 cd/m2", value = stats.crossing { x = x, y = y, level = 200 }.x, unit = "%" }
    record.value { name = "Lowest over highest", value = 100 * y[1] / y[#y], unit = "%" }
  end,
}
