-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Spread [K]: 0: the greys have one colour. The number is 5.45697e-12
--   Slope [K per 10 %]: 0. The number is 0
--   Mean [K]: CCT of 0.306, 0.322. The number is 6954.71
--   Mired of white [MK^-1]: 1e6/that. The number is 143.787
return procedure {
  title = "Colour temperature of greys",
  purpose = "Spread of the colour temperature from dark to light greys, and its slope over the level.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local lv, k = {}, {}
    for g = 100, 10, -15 do
      patches.show { grey = g / 100, window = 10 }
      local r = meter.measure { relative = 0.5 }
      lv[#lv + 1] = g
      k[#k + 1] = colour.cct(r).cct
    end
    local fit = stats.line { x = lv, y = k }
    record.value { name = "Spread", value = math.max(unpack(k)) - math.min(unpack(k)), unit = "K" }
    record.value { name = "Slope", value = fit.slope * 10, unit = "K per 10 %" }
    record.value { name = "Mean", value = stats.mean(k), unit = "K" }
    record.value { name = "Mired of white", value = 1e6 / k[1], unit = "MK^-1" }
  end,
}
