-- White less black, both under the same light, with black read before and after.
return procedure {
  title    = "White in a lit room",
  purpose  = "How much light white adds to black while a lamp is on.",
  needs    = { meter = {}, patches = {}, rig = { lamps = { "front" } } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    rig.set { lamp = "front", level = 100 }
    clock.wait(900)
    local function read(grey)
      patches.show { grey = grey, window = 10 }
      return meter.read({ after = 2, relative = 0.1 }).Y
    end
    local before, white, after = read(0), read(1), read(0)
    record.value { name = "Emitted white", value = white - (before + after) / 2, unit = "cd/m2" }
  end,
}
