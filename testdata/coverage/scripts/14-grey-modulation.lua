-- Its author wrote it for the default world. What is true there, in the author's words:
--   Modulation at code 20 [%]: (L30-L20)/(L30+L20), %. The number is 41.8471
--   Modulation at code 120 [%]: (L130-L120)/(L130+L120), %. The number is 8.76733
--   Modulation at code 240 [%]: (L250-L240)/(L250+L240), %. The number is 4.46176
return procedure {
  title = "Modulation of neighbouring greys",
  purpose = "Michelson contrast of two greys ten codes apart, bright and dark.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function pair(c)
      patches.show { code = c + 10, bits = 8, window = 15 }
      local hi = meter.read { relative = 0.1, after = 1.5, most = 100 }
      patches.show { code = c, bits = 8, window = 15 }
      local lo = meter.read { relative = 0.1, after = 1.5, most = 100 }
      return colour.michelson(hi.Y, lo.Y), { hi, lo }
    end
    for _, c in ipairs { 20, 120, 240 } do
      local m, r = pair(c)
      record.value { name = "Modulation at code " .. c, value = 100 * m, unit = "%", from = r }
    end
  end,
}
