-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Ratio 8 to 4 [:1]: L8/L4 with black in both. The number is 4.53975
--   Ratio 16 to 8 [:1]: L16/L8. The number is 4.58267
--   Stops from 4 to 16 [stops]: log2(L16/L4). The number is 4.3788
return procedure {
  title = "Shadow ratios",
  purpose = "How many times brighter code 8 is than code 4, and code 16 than code 8.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local Y = {}
    for _, c in ipairs { 16, 8, 4 } do
      patches.show { code = c, bits = 8 }
      Y[c] = meter.read { repeats = 8, after = 2 }.Y
    end
    record.value { name = "Ratio 8 to 4", value = Y[8] / Y[4], unit = ":1" }
    record.value { name = "Ratio 16 to 8", value = Y[16] / Y[8], unit = ":1" }
    record.value { name = "Stops from 4 to 16", value = math.log(Y[16] / Y[4]) / math.log(2), unit = "stops" }
  end,
}
