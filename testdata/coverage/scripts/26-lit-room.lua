-- Its author wrote it for the default world. What is true there, in the author's words:
--   Contrast, lit [:1]: (L_white15 + r)/(light.black + r), r = reflectance * E(front at 50 %)/pi after 10 min; the lamp still warms between white and
--     black. The number is 85.4844
--   Black, lit [cd/m2]: light.black + r. The number is 5.70045
--   Black for each lux [mcd/(m2 lx)]: 1000*(light.black/E + 0.045/pi). The number is 14.3269
return procedure {
  title = "Contrast under the lamp",
  purpose = "Contrast that is measured with the front lamp on, and the part of it that the room takes.",
  needs = { meter = {}, patches = {}, rig = { lamps = { "front" }, lux = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function pair()
      patches.show { grey = 1, window = 15 }
      local w = meter.measure {}
      patches.black()
      return w, meter.measure {}
    end
    rig.set { lamp = "front", level = 50 }
    clock.wait(600)
    local w, b = pair()
    local lx = rig.lux {}
    rig.set { lamp = "front", level = 0 }
    record.value { name = "Contrast, lit", value = colour.contrast(w.Y, b.Y), unit = ":1" }
    record.value { name = "Black, lit", value = b, unit = "cd/m2" }
    record.value { name = "Black for each lux", value = 1000 * b.Y / lx, unit = "mcd/(m2 lx)" }
  end,
}
