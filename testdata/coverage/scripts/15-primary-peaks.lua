-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Red peak [nm]: primaries.red[0] (the black and the other primaries add nothing visible). The number is 620
--   Green peak [nm]: primaries.green[0]. The number is 538.005
--   Blue peak [nm]: primaries.blue[0]. The number is 458.019
--   Green width [nm]: primaries.green[1]; 70.07 as sampled by the meter. The number is 70.068
return procedure {
  title = "Peaks of the primaries",
  purpose = "Peak wavelength of each primary, and the width of green.",
  needs = { meter = { spectrum = true }, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function look(rgb)
      patches.show { rgb = rgb, window = 10 }
      return meter.read { repeats = 3, after = 1, spectrum = true }
    end
    local r, g, b = look {1,0,0}, look {0,1,0}, look {0,0,1}
    record.value { name = "Red peak", value = colour.peak(r).wavelength, unit = "nm" }
    record.value { name = "Green peak", value = colour.peak(g).wavelength, unit = "nm" }
    record.value { name = "Blue peak", value = colour.peak(b).wavelength, unit = "nm" }
    record.value { name = "Green width", value = colour.fwhm(g), unit = "nm" }
  end,
}
