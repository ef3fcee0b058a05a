-- Waits until the light drifts by less than 0.2 % over twenty minutes, and then reads white.
return procedure {
  title    = "White of a warm panel",
  purpose  = "Luminance of white once the panel is warm.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 0.7, window = 10, background = 0.5 }
    local settling = meter.settle { within = 0.2, over = 1200, every = 60, timeout = 14400 }
    patches.show { grey = 1, window = 10 }
    local white = meter.read { after = 2, relative = 0.1 }
    record.value {
      name = "White luminance", value = settling.settled and white or nil, unit = "cd/m2", why = "the panel still drifts after four hours",
    }
  end,
}
