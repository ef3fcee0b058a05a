-- Mistake: the windows of a sweep follow one another without a pause, to save two minutes.
-- Lesson: What the panel was made to give before is in it as heat when the next window comes, and the larger windows come last: the
--   full screen is read of a panel that already dims, an eighth too low. Let it rest on black between patches.
-- Right: window-sweep
-- Trial: window-sweep-heat, dims by heat
-- Bias: full-screen-luminance -14 to -10 %
return procedure {
  title    = "Window sweep, without rests",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local levels = {}
    for _, window in ipairs { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 } do
      patches.show { grey = 1, window = window }
      clock.wait(6)
      table.insert(levels, meter.read({ repeats = 4 }).Y)
    end
    record.value { name = "Peak luminance", value = stats.median(levels), unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = levels[#levels], unit = "cd/m2" }
  end,
}
