-- Mistake in line 5: a word of needs is misspelt.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = { spectra = true }, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure { spectrum = true }
    record.value { name = "Peak", value = colour.peak(r.spectrum).wavelength, unit = "nm" }
  end,
}
