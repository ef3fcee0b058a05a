-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Signal at half light [%]: signal at half of white by the script's straight lines between codes 13 apart; of the curve itself: 100*0.5^(1/2.2) =
--     72.97. The number is 72.9283
--   Signal at a tenth [%]: likewise a tenth; of the curve itself 35.11. The number is 35.0268
return procedure {
  title = "Half light",
  purpose = "Signal at which half and a tenth of the white luminance are reached.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local x, y = {}, {}
    for code = 60, 255, 13 do
      patches.show { code = code, bits = 8, window = 10 }
      x[#x + 1] = code / 255
      y[#y + 1] = meter.read { repeats = 2, after = 1 }.Y
    end
    local white = y[#y]
    local half = stats.crossing { x = x, y = y, level = white / 2 }
    local tenth = stats.crossing { x = x, y = y, level = white / 10 }
    record.value { name = "Signal at half light", value = 100 * half.x, unit = "%" }
    record.value { name = "Signal at a tenth", value = 100 * tenth.x, unit = "%" }
  end,
}
