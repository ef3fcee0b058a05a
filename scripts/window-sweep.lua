local plateau = require "plateau"
local steady = require "steady"
local rewarm = require "rewarm"

-- A window that is dimmer than a smaller one is limited, slowly perhaps, and is
-- watched.
local dimmed = 0.99

local function record_peak(p, rows)
  local peak, bound, why = plateau.peak(rows, p.within)
  if not peak then
    record.value { name = "Peak luminance", unit = "cd/m2", why = why }
    record.value { name = "Peak windows", why = why }
    return
  end
  local windows = peak.first == peak.last and string.format("%g %%", peak.first)
    or string.format("%g to %g %%", peak.first, peak.last)
  record.value {
    name = "Peak luminance", value = peak.mean, unit = "cd/m2", bound = bound,
    of = #peak.rows == 1 and peak.rows[1].reading or nil,
  }
  record.value { name = "Peak windows", value = windows }
  record.note(string.format("The peak is the mean of the windows within %g %% of the highest: %s, %d of %d.",
    p.within, windows, #peak.rows, #rows))
end

-- A window whose luminance is not what the panel settles at, or that the meter
-- cannot read, is named.
local function note_doubts(rows)
  for _, row in ipairs(rows) do
    if row.doubt then
      record.note(string.format("The luminance at %g %% %s: %s.", row.x, row.limit and "is a lower limit" or "does not count", row.doubt),
        { level = "caution" })
    end
  end
end

return procedure {
  title    = "Window sweep",
  purpose  = "Luminance of full white against the share of the screen that is lit.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    windows   = { default = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }, unit = "%", min = 0.1, max = 100, help = "shares of the screen" },
    signal    = { default = "sdr", one_of = { "sdr", "pq" }, help = "how white is coded" },
    onset     = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    rest      = { default = 10, unit = "s", min = 0, max = 3600, help = "black between windows" },
    patience  = { default = 40, unit = "s", min = 0, max = 3600, help = "how long to wait where the light still changes; 0: not" },
    precision = { default = 0.1, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
    within    = { default = 0.5, unit = "%", min = 0, max = 20, help = "windows this close to the highest are the plateau" },
  },
  on_resume = function(p, pause) rewarm.after(pause, p.signal) end,
  run = function(p)
    local sweep = record.table("Luminance by window", { { "window", "%" }, { "luminance", "cd/m2" } })
    local rows, full, top = {}, nil, 0
    local function dimmer(r) return r.Y < dimmed * top end

    for i, window in ipairs(p.windows) do
      if i > 1 then
        patches.black { signal = p.signal }
        clock.wait(p.rest)
      end
      patches.show { grey = 1, window = window, signal = p.signal }
      local row = steady.read(p, { watch = dimmer })
      row.x, row.y, top = window, row.Y, math.max(top, row.Y)
      sweep:add { window = window, luminance = row.Y }
      table.insert(rows, row)
      if window == 100 then full = row end
    end
    record.plot { table = sweep, x = "window", y = "luminance", log_x = true }

    record_peak(p, rows)
    local reading, why = nil, "100 % is not among the windows"
    if full then reading, why = steady.stated(full) end
    record.value { name = "Full-screen luminance", value = reading, unit = "cd/m2", why = why }
    note_doubts(rows)
  end,
}
