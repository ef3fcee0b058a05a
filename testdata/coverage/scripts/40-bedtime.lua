-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Melanopic ratio [1]: melanopic DER of white: of the mixed primaries. The number is 0.987079
--   Melanopic EDI, bright [lx]: edl of white * 0.0392. The number is 18.5729
--   Melanopic EDI, dim [lx]: the same at Brightness 20. The number is 3.86318
--   Ratio change [%]: 0: dimming does not change the spectrum. The number is 3.33067e-14
return procedure {
  title = "Bedtime light",
  purpose = "Melanopic ratio of the dimmed white, and the illuminance in the eye from half a metre.",
  needs = { meter = { spectrum = true }, patches = {}, unit = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1 }
    local bright = meter.measure { spectrum = true }
    unit.set { Brightness = 20 }
    local dim = meter.measure { spectrum = true }
    local function edi(r) return colour.melanopic(r).edl * 0.070 * 0.140 / 0.5^2 end
    record.value { name = "Melanopic ratio", value = colour.melanopic(dim).der, unit = "1" }
    record.value { name = "Melanopic EDI, bright", value = edi(bright), unit = "lx" }
    record.value { name = "Melanopic EDI, dim", value = edi(dim), unit = "lx" }
    record.value { name = "Ratio change", value = 100 * math.abs(colour.melanopic(dim).der / colour.melanopic(bright).der - 1), unit = "%" }
  end,
}
