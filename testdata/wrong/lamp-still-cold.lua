-- Mistake: the illuminance is noted when the lamp comes on, and the screen is read when all else is ready.
-- Lesson: The lamp gains 8 % of light while it warms, so the reflection that is read belongs to more light than was noted.
--   Let lamps warm, and read illuminance and reflection next to each other.
-- Right: right/reflectance.lua
-- Trial: trials/reflectance.lua, default
-- Bias: reflectance 7 to 10 %
return procedure {
  title    = "Reflectance, lux noted first",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {}, rig = { lamps = { "front" }, lux = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.black()
    local dark = meter.read { after = 2, relative = 0.5 }
    rig.set { lamp = "front", level = 100 }
    local lux = rig.lux()
    clock.wait(900)
    local lit = meter.read { relative = 0.1 }
    record.value { name = "Reflectance", value = 100 * math.pi * (lit.Y - dark.Y) / lux, unit = "%" }
  end,
}
