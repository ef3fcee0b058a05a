-- Its author wrote it for the default world. What is true there, in the author's words:
--   Share 415 to 455 nm [%]: share of the radiance of white at 415-455 nm in 380-780 nm, both ends counted. The number is 15.783
--   Share below 500 nm [%]: the same for 380-500 nm. The number is 37.1526
--   Radiance [W/(sr m2)]: radiance of white, window 20, 380-780 nm. The number is 1.56254
return procedure {
  title = "Blue share",
  purpose = "Share of the radiance of white from 415 to 455 nm, and from 380 to 500 nm.",
  needs = { meter = { spectrum = true }, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 20 }
    local s = meter.measure { spectrum = true }.spectrum
    local function band(from, to)
      local sum = 0
      for i, v in ipairs(s.values) do
        local nm = s.from + (i - 1) * s.step
        if nm >= from and nm <= to then sum = sum + v * s.step end
      end
      return sum
    end
    local all = band(380, 780)
    record.value { name = "Share 415 to 455 nm", value = 100 * band(415, 455) / all, unit = "%" }
    record.value { name = "Share below 500 nm", value = 100 * band(380, 500) / all, unit = "%" }
    record.value { name = "Radiance", value = all, unit = "W/(sr m2)" }
  end,
}
