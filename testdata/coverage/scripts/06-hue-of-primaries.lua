-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Red hue [deg]: CIELAB hue of full red (with black) against the unit's white. The number is 47.7827
--   Green hue [deg]: the same of green. The number is 137.038
--   Blue hue [deg]: the same of blue. The number is 311.907
return procedure {
  title = "Hue of the primaries",
  purpose = "CIELAB hue angle of red, green and blue against the unit's white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    local prim = { Red = {1,0,0}, Green = {0,1,0}, Blue = {0,0,1} }
    for _, name in ipairs { "Red", "Green", "Blue" } do
      patches.show { rgb = prim[name], window = 10 }
      local r = meter.measure {}
      record.value { name = name .. " hue", value = colour.lch(r, { white = white }).h, unit = "deg", from = { r, white } }
    end
  end,
}
