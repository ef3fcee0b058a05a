local plateau = require "plateau"
local rewarm = require "rewarm"

local function record_peak(p, rows)
  local peak, bound, why = plateau.peak(rows, p.peak_tolerance)
  local windows = peak and string.format(peak.first == peak.last and "%g %%" or "%g to %g %%", peak.first, peak.last)
  record.value { name = "Peak luminance", value = peak and peak.mean, unit = "cd/m2", bound = bound, from = peak and peak.rows, why = why }
  record.value { name = "Peak windows", value = windows, why = why }
  if peak then
    record.note(string.format("The peak luminance is the mean of the windows within %g %% of the highest one: %s, %d of %d windows.",
      p.peak_tolerance, windows, #peak.rows, #rows))
  end
end

return procedure {
  title    = "Window sweep",
  purpose  = "Measures the luminance of full white for windows of different sizes: the peak luminance, and the luminance that is "
    .. "left on the full screen after power limiting.",
  needs    = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    windows   = { default = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }, unit = "%", min = 0.1, max = 100,
      help = "sets the window sizes, as shares of the screen" },
    signal    = { default = "sdr", one_of = { "sdr", "pq" }, help = "chooses the signal format of white" },
    delay     = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    rest      = { default = 10, unit = "s", min = 0, max = 3600, help = "sets how long the panel rests on black between windows" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision = { default = 0.1, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
    peak_tolerance = { default = 0.5, unit = "%", min = 0, max = 20, formerly = { "within" },
      help = "sets how close to the highest luminance a window must be to count for the peak" },
  },
  on_resume = function(p, pause) rewarm.after(pause, p.signal) end,
  run = function(p)
    local sweep = record.table("Luminance by window", { { "window", "%" }, { "luminance", "cd/m2" } })
    local rows, full = {}, nil
    run.readings(#p.windows)

    for i, window in ipairs(p.windows) do
      if i > 1 then
        patches.black { signal = p.signal }
        clock.wait(p.rest)
      end
      patches.show { grey = 1, window = window, signal = p.signal }
      local r = meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }
      sweep:add { window = window, luminance = r }
      table.insert(rows, { x = window, reading = r })
      if window == 100 then full = r end
    end
    record.plot { table = sweep, x = "window", y = "luminance", log_x = true }

    record_peak(p, rows)
    record.value { name = "Full-screen luminance", value = full, unit = "cd/m2", why = full and "" or "no window of 100 % was measured" }
  end,
}
