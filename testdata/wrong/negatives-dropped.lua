-- Mistake: readings below zero are thrown away, since there is no negative light.
-- Lesson: Around zero half of all noise is negative. Without it the mean of black is too high by most of the noise, and what
--   dark greys add to black is too little. Keep every reading; only the mean must make sense.
-- Right: right/near-black.lua
-- Trial: trials/near-black.lua, noisy meter
-- Bias: code-4-over-black -0.013 to -0.007 cd/m2
local function mean_of_positive(n)
  local kept = {}
  for _ = 1, n do
    local y = meter.read({}).Y
    if y > 0 then table.insert(kept, y) end
  end
  return stats.mean(kept)
end

return procedure {
  title    = "Near black, without negatives",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = { dark = true }, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    for _, code in ipairs { 8, 6, 4 } do
      meter.dark()
      patches.show { code = 0, bits = 8, window = 10 }
      local black = mean_of_positive(100)
      patches.show { code = code, bits = 8, window = 10 }
      record.value { name = "Code " .. code .. " over black", value = mean_of_positive(100) - black, unit = "cd/m2" }
    end
  end,
}
