-- Mistake in line 11: a function of the script is given too little.
local function white(window, settle)
  patches.show { grey = 1, window = window }
  return meter.measure { settle = settle + 5 }
end
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    record.value { name = "White", value = white(10), unit = "cd/m2" }
  end,
}
