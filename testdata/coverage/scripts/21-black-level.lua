-- Its author wrote it for the default world. What is true there, in the author's words:
--   Black, median [cd/m2]: light.black. The number is 0.0008
--   Black, mean [cd/m2]: light.black. The number is 0.0008
--   Scatter [cd/m2]: standard deviation of a single reading of black by this meter: 0.0025/sqrt(4 s) = 0.00125 (not 0: a property of the meter). The
--     number is 0
-- truth: scatter = 0.00125: the standard deviation of one reading of the black level by this meter, which exact instruments do not have
return procedure {
  title = "Black level",
  purpose = "Median, mean and scatter of fifteen black readings after the meter's dark level was taken.",
  needs = { meter = { dark = true }, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.black()
    clock.wait(60)
    meter.dark()
    local b = {}
    for i = 1, 15 do b[i] = meter.read {}.Y end
    record.value { name = "Black, median", value = stats.median(b), unit = "cd/m2" }
    record.value { name = "Black, mean", value = stats.mean(b), unit = "cd/m2" }
    record.value { name = "Scatter", value = stats.sd(b), unit = "cd/m2" }
  end,
}
