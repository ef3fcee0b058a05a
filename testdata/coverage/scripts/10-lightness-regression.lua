-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Slope [L*/%]: slope of the line through L*(0.2 … 1.0) over 20 … 100, with 8-bit signals. The number is 0.995806
--   Intercept [L*]: its intercept. The number is 2.51152
--   Largest residual [L*]: largest absolute residual of L* from that line (method, not noise). The number is 2.79172
return procedure {
  title = "Lightness against level",
  purpose = "Straight line through lightness over the signal, its slope and its largest residual.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local sig, L = {}, {}
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    for i = 2, 10 do
      patches.show { grey = i / 10, window = 10 }
      sig[#sig + 1] = i * 10
      L[#L + 1] = colour.lightness(meter.measure {}.Y / white.Y)
    end
    local fit = stats.line { x = sig, y = L }
    local worst = 0
    for i = 1, #sig do worst = math.max(worst, math.abs(L[i] - fit.intercept - fit.slope * sig[i])) end
    record.value { name = "Slope", value = fit.slope, unit = "L*/%" }
    record.value { name = "Intercept", value = fit.intercept, unit = "L*" }
    record.value { name = "Largest residual", value = worst, unit = "L*" }
  end,
}
