-- Mistake: a black under the meter's floor is taken for a number, and white is divided by it.
-- Lesson: Black is 0.0008 cd/m2 and the meter tells nothing below 0.005, so the contrast is white over noise: another number
--   each time, and often a record. What can be said is a limit: at least white over the floor.
-- Right: contrast
-- Trial: contrast, phone
-- Scatter: sequential-contrast 12 % or more
return procedure {
  title    = "Contrast, over noise",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    lux         = { default = 0, unit = "lx", min = 0, max = 200000, help = "illuminance of the screen" },
    reflectance = { default = 4, unit = "%", min = 0, max = 100, help = "diffuse share of it that the screen throws back" },
  },
  run = function(p)
    patches.show { grey = 0 }
    local black = meter.read { after = 2, repeats = 5 }
    patches.show { grey = 1 }
    local white = meter.read { after = 12, relative = 0.25 }
    local room = p.lux * p.reflectance / 100 / math.pi
    record.value { name = "White luminance", value = white, unit = "cd/m2" }
    record.value { name = "Black luminance", value = math.abs(black.Y), unit = "cd/m2" }
    record.value { name = "Sequential contrast", value = white.Y / math.abs(black.Y), unit = "" }
    record.value { name = "Ambient contrast", value = (white.Y + room) / (math.abs(black.Y) + room), unit = "" }
  end,
}
