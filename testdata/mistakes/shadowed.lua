-- Mistake in line 12: an inner variable hides the one that was meant.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local highest = 0
    for _, w in ipairs { 10, 50, 100 } do
      patches.show { grey = 1, window = w }
      local y = meter.measure({}).Y
      if y > highest then
        local highest = y
        record.note("a higher one: " .. highest)
      end
    end
    record.value { name = "Highest", value = highest, unit = "cd/m2" }
  end,
}
