-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Illuminance [lx]: illuminance of the screen by the front lamp 15 min after it was lit (lamp drift is real, off in the truth world). The number is
--     798.518
--   Reflectance [%]: room.reflectance. The number is 4.5
return procedure {
  title = "Reflectance",
  purpose = "Diffuse reflectance of the black screen under the front lamp.",
  needs = { meter = {}, patches = {}, rig = { lamps = { "front" }, lux = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.black()
    local dark = meter.read { repeats = 5 }
    rig.set { lamp = "front", level = 100 }
    clock.wait(900)
    local E1 = rig.lux {}
    local lit = meter.read { repeats = 5 }
    local E2 = rig.lux {}
    rig.set { lamp = "front", level = 0 }
    local E = (E1 + E2) / 2
    record.value { name = "Illuminance", value = E, unit = "lx" }
    record.value { name = "Reflectance", value = 100 * math.pi * (lit.Y - dark.Y) / E, unit = "%" }
  end,
}
