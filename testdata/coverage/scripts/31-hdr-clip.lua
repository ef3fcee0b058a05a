-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Peak [cd/m2]: light.hdr_peak. The number is 950
--   90 % of peak at [cd/m2]: asked level at which 0.9*hdr_peak is reached, by straight lines between 800 and 900; of the curve 855. The number is
--     857.524
--   Peak over SDR white [:1]: hdr_peak/white. The number is 1.97917
--   Headroom [stops]: log2 of it. The number is 0.984893
return procedure {
  title = "HDR peak and clipping",
  purpose = "Highest luminance of PQ, the level asked for at which 90 % of it is reached, and PQ white against SDR white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local sdr = meter.measure {}.Y
    local x, y = {}, {}
    for _, n in ipairs { 100, 200, 400, 600, 700, 800, 900, 1000, 1500, 2000, 4000 } do
      patches.show { nits = n, signal = "pq", window = 10 }
      x[#x + 1], y[#y + 1] = n, meter.read { repeats = 3, after = 2 }.Y
    end
    local peak = 0
    for _, v in ipairs(y) do if v > peak then peak = v end end
    record.value { name = "Peak", value = peak, unit = "cd/m2" }
    record.value { name = "90 % of peak at", value = stats.crossing { x = x, y = y, level = 0.9 * peak }.x, unit = "cd/m2" }
    record.value { name = "Peak over SDR white", value = peak / sdr, unit = ":1" }
    record.value { name = "Headroom", value = math.log(peak / sdr) / math.log(2), unit = "stops" }
  end,
}
