-- The patch says what the brightest content is.
return procedure {
  title    = "HDR tracking",
  purpose  = "Luminance of a PQ patch of 1,000 cd/m2 in content of up to 1,000 cd/m2.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { nits = 1000, window = 2, signal = "pq", metadata = { mastering_peak = 1000, max_cll = 1000, max_fall = 400 } }
    record.value { name = "Luminance of 1000 cd/m2", value = meter.read { after = 12, relative = 0.1 }, unit = "cd/m2" }
  end,
}
