-- Mistake in line 13: the field of a reading that a function of the script returns is misspelt.
local function white(window)
  patches.show { grey = 1, window = window }
  return meter.measure { relative = 0.5 }
end
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local sum = 0
    for _, w in ipairs { 10, 20, 30 } do
      sum = sum + white(w).Lum
    end
    record.value { name = "Mean white", value = sum / 3, unit = "cd/m2" }
  end,
}
