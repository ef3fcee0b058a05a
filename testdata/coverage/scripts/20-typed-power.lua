-- Its author wrote it for the default world. What is true there, in the author's words:
--   Luminous flux [lm]: pi * L(full white, settled) * 0.070 * 0.140. The number is 12.4306
--   Efficacy [lm/W]: that / 2.5 W. The number is 4.97225
--   Area [cm2]: 98, exact. The number is 98
return procedure {
  title = "Light for power",
  purpose = "Luminous efficacy from typed powers and the size of the screen.",
  needs = { meter = {}, patches = {}, operator = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local w = operator.ask("Width of the screen", { unit = "mm", min = 1, example = 70 })
    local h = operator.ask("Height of the screen", { unit = "mm", min = 1, example = 140 })
    patches.show { grey = 1 }
    local Y = meter.measure { settle = 60 }.Y
    local pw = operator.ask("Power on white", { unit = "W", example = 3.4 })
    patches.black()
    local pb = operator.ask("Power on black", { unit = "W", example = 0.9 })
    local flux = math.pi * Y * w * h * 1e-6
    record.value { name = "Luminous flux", value = flux, unit = "lm" }
    record.value { name = "Efficacy", value = flux / (pw - pb), unit = "lm/W" }
    record.value { name = "Area", value = w * h / 100, unit = "cm2" }
  end,
}
