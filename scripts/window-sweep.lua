local plateau = require "plateau"

return procedure {
  title    = "Window sweep",
  purpose  = "Luminance of full white against the share of the screen that is lit.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    windows   = { default = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }, unit = "%", min = 0.1, max = 100, help = "shares of the screen" },
    signal    = { default = "sdr", one_of = { "sdr", "pq" }, help = "how white is coded" },
    onset     = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    rest      = { default = 10, unit = "s", min = 0, max = 3600, help = "black between windows" },
    precision = { default = 0.1, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
    within    = { default = 0.5, unit = "%", min = 0, max = 20, help = "windows this close to the highest are the plateau" },
  },
  run = function(p)
    local sweep = record.table("Luminance by window", { { "window", "%" }, { "luminance", "cd/m2" } })
    local rows, unsettled, saturated, full = {}, {}, false, nil

    for i, window in ipairs(p.windows) do
      if i > 1 then
        patches.black { signal = p.signal }
        clock.wait(p.rest)
      end
      patches.show { grey = 1, window = window, signal = p.signal }
      local r = meter.read { after = p.onset, relative = p.precision }
      sweep:add { window = window, luminance = r.Y }
      table.insert(rows, { x = window, y = r.Y, reading = r })
      if window == 100 then full = r end
      saturated = saturated or r.flags.saturated
      if r.flags.drifting then table.insert(unsettled, string.format("%g %%", window)) end
    end
    record.plot { table = sweep, x = "window", y = "luminance", log_x = true }

    local peak = plateau.find(rows, p.within)
    local windows = peak.first == peak.last and string.format("%g %%", peak.first)
      or string.format("%g to %g %%", peak.first, peak.last)
    record.value {
      name = "Peak luminance", value = peak.mean, unit = "cd/m2",
      of = #peak.rows == 1 and peak.rows[1].reading or nil,
      bound = saturated and "lower" or nil,
    }
    record.value { name = "Peak windows", value = windows }
    record.value {
      name = "Full-screen luminance", value = full, unit = "cd/m2",
      why = full and "" or "100 % is not among the windows",
    }
    if saturated then
      record.note("The meter was saturated: the unit is brighter than it can read. What it gave is a lower limit.", { level = "caution" })
    end
    if #unsettled > 0 then
      record.note("The light still changed while it was read: " .. table.concat(unsettled, ", ")
        .. ". A longer onset reads what the panel settles at.", { level = "caution" })
    end
    record.note(string.format("The peak is the mean of the windows within %g %% of the highest: %s, %d of %d.",
      p.within, windows, #peak.rows, #rows))
  end,
}
