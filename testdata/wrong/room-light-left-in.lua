-- Mistake: white is read with the room's lamp on, and stated as the light of the display.
-- Lesson: The screen reflects 4.5 % of the lamp's 800 lux: 11 cd/m2, on black and on white alike. Read black beside white
--   under the same light, and take it off.
-- Right: right/white-in-a-lit-room.lua
-- Trial: trials/lit-room.lua, default
-- Bias: emitted-white 2 to 3 %
return procedure {
  title    = "White in a lit room, room light and all",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {}, rig = { lamps = { "front" } } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    rig.set { lamp = "front", level = 100 }
    clock.wait(900)
    patches.show { grey = 1, window = 10 }
    record.value { name = "Emitted white", value = meter.read({ after = 2, relative = 0.1 }).Y, unit = "cd/m2" }
  end,
}
