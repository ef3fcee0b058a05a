-- Its author wrote it for the default world. What is true there, in the author's words:
--   Steps that rise [%]: share of the 24 steps of code 0 to 24 at which the true luminance rises: all, the curve is strictly rising. The number is
--     100
--   Falls or stands [steps]: number that do not rise: 0. The number is 0
return procedure {
  title = "Rising steps",
  purpose = "Share of the steps from code 0 to code 24 at which the luminance rises.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local Y = {}
    for c = 0, 24 do
      patches.show { code = c, bits = 8, window = 25 }
      Y[#Y + 1] = meter.read { after = 1 }.Y
    end
    local up = 0
    for i = 2, #Y do if Y[i] > Y[i - 1] then up = up + 1 end end
    record.value { name = "Steps that rise", value = up / (#Y - 1) * 100, unit = "%" }
    record.value { name = "Falls or stands", value = #Y - 1 - up, unit = "steps" }
  end,
}
