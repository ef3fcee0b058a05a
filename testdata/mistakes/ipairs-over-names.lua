-- Mistake in line 8: ipairs goes over a table with names, and so over nothing.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local colours = { red = { 1, 0, 0 }, green = { 0, 1, 0 }, blue = { 0, 0, 1 } }
    for name, rgb in ipairs(colours) do
      patches.show { rgb = rgb, window = 10 }
      record.value { name = "Luminance " .. name, value = meter.measure {}, unit = "cd/m2" }
    end
  end,
}
