-- Each grey stands between two blacks that are read as long as it is, in rounds; negatives count, and the meter's drifting
-- dark level is the same in all three.
return procedure {
  title    = "Greys over black",
  purpose  = "By how much the darkest greys are brighter than black.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local function read(code)
      patches.show { code = code, bits = 8, window = 10 }
      return meter.read({ after = 2, repeats = 5 }).Y
    end
    for _, code in ipairs { 8, 6, 4 } do
      local over, before = {}, read(0)
      for _ = 1, 30 do
        local grey, after = read(code), read(0)
        table.insert(over, grey - (before + after) / 2)
        before = after
      end
      record.value { name = "Code " .. code .. " over black", value = stats.mean(over), unit = "cd/m2" }
    end
  end,
}
