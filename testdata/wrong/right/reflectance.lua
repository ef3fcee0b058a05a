-- Illuminance before and after the reading of the screen, of a warm lamp, each several times.
return procedure {
  title    = "Reflectance",
  purpose  = "Which share of the room's light the screen throws back.",
  needs    = { meter = {}, patches = {}, rig = { lamps = { "front" }, lux = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.black()
    local dark = meter.read { after = 2, relative = 0.5 }
    rig.set { lamp = "front", level = 100 }
    clock.wait(1200)
    local lux = {}
    for _ = 1, 4 do table.insert(lux, rig.lux()) end
    local lit = meter.read { relative = 0.1 }
    for _ = 1, 4 do table.insert(lux, rig.lux()) end
    record.value { name = "Reflectance", value = 100 * math.pi * (lit.Y - dark.Y) / stats.mean(lux), unit = "%" }
  end,
}
