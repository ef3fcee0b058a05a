-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Ambient contrast [:1]: (light.white + a)/(light.black + a), a = 180*0.045/pi. The number is 187.11
--   Reflected luminance [cd/m2]: a, exact from typed numbers. The number is 2.57831
return procedure {
  title = "Contrast in the customer's room",
  purpose = "Computes the contrast under an illuminance that was read on a hand-held luxmeter.",
  needs = { meter = {}, patches = {}, operator = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local lux = operator.ask("Illuminance on the screen, as the luxmeter shows it", { unit = "lx", min = 0, max = 20000, example = 180 })
    local refl = operator.ask("Diffuse reflectance on the unit's data sheet", { unit = "%", min = 0, max = 100, example = 4.5 })
    patches.show { grey = 1, window = 10 }
    local w = meter.measure {}
    patches.black()
    local b = meter.measure {}
    local add = lux * refl / 100 / math.pi
    record.value { name = "Ambient contrast", value = (w.Y + add) / (b.Y + add), unit = ":1" }
    record.value { name = "Reflected luminance", value = add, unit = "cd/m2" }
  end,
}
