-- The meter fits its integration to the light.
return procedure {
  title    = "Greys, by whole periods",
  purpose  = "Luminance of three greys where the light is switched.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    for name, grey in pairs { White = 1, Grey = 0.6, Dark = 0.4 } do
      patches.show { grey = grey, window = 10, bits = 8 }
      record.value { name = name .. " luminance", value = meter.read { after = 2, sync = true, relative = 0.1 }, unit = "cd/m2" }
    end
  end,
}
