-- Its author wrote it for the steady world. What is true there, in the author's words:
--   White [cd/m2]: luminance of white, window 10, no limiter: light.white. The number is 480
--   Black [cd/m2]: light.black. The number is 0.0008
--   Contrast [:1]: light.white/light.black. The number is 600000
return procedure {
  title = "Contrast with a fresh dark level",
  purpose = "White over black, with the meter's dark level measured just before black.",
  needs = { meter = { dark = true }, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    patches.black()
    clock.wait(30)
    meter.dark()
    local black = meter.read { repeats = 20 }
    record.value { name = "White", value = white, unit = "cd/m2" }
    record.value { name = "Black", value = black, unit = "cd/m2" }
    record.value { name = "Contrast", value = white.Y / black.Y, unit = ":1", from = { white, black } }
  end,
}
