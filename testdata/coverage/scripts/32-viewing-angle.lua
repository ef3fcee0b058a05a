-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Light at 45 degrees [%]: L(45 deg)/L(0), %; law of [angle] is only stated at 60 deg. The number is 88.9345
--   Colour shift at 45 degrees [u'v']: u'v' distance of 45 deg from 0. The number is 0.00490252
--   A tenth lost at [deg]: angle at which 0.9 is reached, by straight lines between 15-deg steps. The number is 42.3427
return procedure {
  title = "From the side",
  purpose = "Loss of light and colour shift at 45 degrees, and the angle at which a tenth of the light is lost.",
  needs = { meter = {}, patches = {}, rig = { turn = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 30 }
    local a, y, by = {}, {}, {}
    for deg = 0, 60, 15 do
      a[#a + 1] = rig.turn { degrees = deg }
      by[deg] = meter.read { repeats = 3 }
      y[#y + 1] = by[deg].Y / by[0].Y
    end
    rig.turn { degrees = 0 }
    local c = stats.crossing { x = a, y = y, level = 0.9, falling = true }
    record.value { name = "Light at 45 degrees", value = 100 * by[45].Y / by[0].Y, unit = "%" }
    record.value { name = "Colour shift at 45 degrees", value = colour.delta_uv(by[45], by[0]), unit = "u'v'" }
    record.value { name = "A tenth lost at", value = c.x, unit = "deg" }
  end,
}
