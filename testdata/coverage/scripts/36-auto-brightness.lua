-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Slope [cd/m2/lx]: slope of the line through white over the illuminance at the sensor (0 … 100 % of the lamp, shaded by 30 %), with reflected
--     light of the lamp in the reading. The number is 0.231106
--   Brightest to dark [1]: white with lamp at 100 % (and its reflection) / white in the dark, hysteresis included. The number is 1.28462
--   Illuminance at the sensor [lx]: illuminance of the sensor at 100 %, lamp still warming. The number is 417.522
return procedure {
  title = "Automatic brightness",
  purpose = "White over the illuminance at the unit's sensor: slope of a line, ratio from dark to the brightest lamp.",
  needs = { meter = {}, patches = {}, rig = { lamps = { "front" }, lux = true } },
  settings = { ["automatic brightness"] = "on", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local E, Y = {}, {}
    for _, level in ipairs { 0, 20, 40, 60, 80, 100 } do
      rig.set { lamp = "front", level = level }
      clock.wait(120)
      E[#E + 1] = rig.lux { at = "sensor" }
      Y[#Y + 1] = meter.read { repeats = 3 }.Y
    end
    rig.set { lamp = "front", level = 0 }
    local fit = stats.line { x = E, y = Y }
    record.value { name = "Slope", value = fit.slope, unit = "cd/m2/lx" }
    record.value { name = "Brightest to dark", value = Y[#Y] / Y[1], unit = "1" }
    record.value { name = "Illuminance at the sensor", value = E[#E], unit = "lx" }
  end,
}
