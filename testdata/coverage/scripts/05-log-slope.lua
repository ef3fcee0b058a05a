-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Exponent 51 to 204 [1]: ln(L204/L51)/ln 4, black included (2.2 less a little). The number is 2.19997
--   Decades [decades]: log10(L255/L13). The number is 2.84321
--   Density of code 51 [D]: -log10(L51/L255). The number is 1.53771
return procedure {
  title = "Slope in logarithms",
  purpose = "Exponent between two greys, and decades from a deep grey to white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function lum(code)
      patches.show { code = code, bits = 8, window = 10 }
      return meter.read { repeats = 5, after = 1, sync = true }.Y
    end
    local a, b, w, d = lum(51), lum(204), lum(255), lum(13)
    record.value { name = "Exponent 51 to 204", value = math.log(b / a) / math.log(204 / 51), unit = "1" }
    record.value { name = "Decades", value = math.log10(w / d), unit = "decades" }
    record.value { name = "Density of code 51", value = -math.log10(a / w), unit = "D" }
  end,
}
