-- Mistake: near-black greys are read for half an hour with the dark level that the meter took when it was switched on.
-- Lesson: The meter's dark level drifts by nearly as much as the dark greys give, and everything near black is off by it together, up
--   or down. Take the dark level anew beside the readings, or read black beside each grey and state what the grey adds.
-- Right: right/near-black.lua
-- Trial: trials/near-black.lua, drifting meter
-- Scatter: code-4-over-black 0.01 cd/m2 or more
return procedure {
  title    = "Near black, without a zero",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { code = 0, bits = 8 }
    local black = meter.read({ after = 2, repeats = 60 }).Y
    for _, code in ipairs { 8, 6, 4 } do
      patches.show { code = code, bits = 8, window = 10 }
      local r = meter.read { after = 2, repeats = 120 }
      record.value { name = "Code " .. code .. " over black", value = r.Y - black, unit = "cd/m2" }
    end
  end,
}
