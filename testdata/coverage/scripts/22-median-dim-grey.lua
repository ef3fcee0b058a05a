-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Median [cd/m2]: luminance of code 20. The number is 1.77547
--   Mean minus median [cd/m2]: 0. The number is -7.77854e-06
--   Middle half [cd/m2]: 9th less 3rd of 11 single readings: property of the meter, about 1.3 to 1.6 times its single-reading scatter (repeatability
--     0.1 %, dark and shot noise); 0 only without noise. The number is 3.2733e-07
-- truth: middle-half = 0.0059: the meter's scatter at this level, 0.0041 cd/m2, times 1.46, which is the mean distance of the 9th from the 3rd of 11 normal numbers; exact instruments do not scatter
return procedure {
  title = "Dim grey by median",
  purpose = "Median of eleven single readings of a dim grey, and how far the mean is from the median.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { code = 20, bits = 8, window = 10 }
    local y = {}
    for i = 1, 11 do y[i] = meter.read { after = 1 }.Y end
    table.sort(y)
    local med = y[6]
    record.value { name = "Median", value = med, unit = "cd/m2" }
    record.value { name = "Mean minus median", value = stats.mean(y) - med, unit = "cd/m2" }
    record.value { name = "Middle half", value = y[9] - y[3], unit = "cd/m2" }
  end,
}
