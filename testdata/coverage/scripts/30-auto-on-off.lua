-- Its author wrote it for the default world. What is true there, in the author's words:
--   White lost [cd/m2]: white * (1 - 0.7) (curve of [adaptive] at 0 lx). The number is 144.183
--   White, on to off [%]: 70, plus a trace of warm-up. The number is 70.0159
--   Colour difference [u'v']: 0 but for warm-up colour. The number is 1.37002e-05
--   Change of gamma [1]: 0 but for warm-up and black. The number is 0.00110473
-- difference between two modes of the unit: automatic brightness on and off, in the dark room
return procedure {
  title = "Automatic brightness on and off",
  purpose = "Difference that automatic brightness makes in a dark room, in light and in colour.",
  needs = { meter = {}, patches = {}, unit = {} },
  settings = { brightness = "maximum" },
  run = function(p)
    local white, grey = {}, {}
    for _, mode in ipairs { "off", "on" } do
      unit.set { ["automatic brightness"] = mode }
      clock.wait(10)
      patches.show { grey = 1, window = 10 }
      white[mode] = meter.measure {}
      patches.show { grey = 0.5, window = 10 }
      grey[mode] = meter.measure {}
    end
    record.value { name = "White lost", value = white.off.Y - white.on.Y, unit = "cd/m2", from = { white.off, white.on } }
    record.value { name = "White, on to off", value = 100 * white.on.Y / white.off.Y, unit = "%", from = { white.off, white.on } }
    record.value { name = "Colour difference", value = colour.delta_uv(white.on, white.off), unit = "u'v'" }
    record.value { name = "Change of gamma", value = math.log(grey.on.Y / white.on.Y) / math.log(0.5) - math.log(grey.off.Y / white.off.Y) / math.log(0.5), unit = "1" }
  end,
}
