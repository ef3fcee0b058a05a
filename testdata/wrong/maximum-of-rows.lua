-- Mistake: the peak is the highest of many rows, each of one noisy reading.
-- Lesson: The highest of nineteen readings is too high by some 1.8 of their standard deviations, and the more rows there are the
--   higher it gets. Average each row until its noise is small, and state the mean of the plateau.
-- Right: window-sweep
-- Trial: trials/peak-of-a-noisy-meter.lua, default with meter.repeatability
-- Bias: peak-luminance 2 to 4 %
return procedure {
  title    = "Window sweep, the highest row",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    windows = { default = { 1, 2, 3, 4, 5, 6, 7, 8, 9, 10 }, unit = "%", min = 0.1, max = 100, help = "shares of the screen" },
  },
  run = function(p)
    local peak = 0
    for _, window in ipairs(p.windows) do
      patches.black()
      clock.wait(10)
      patches.show { grey = 1, window = window }
      peak = math.max(peak, meter.read({ after = 2 }).Y)
    end
    record.value { name = "Peak luminance", value = peak, unit = "cd/m2" }
  end,
}
