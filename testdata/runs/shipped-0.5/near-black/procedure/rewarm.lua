-- A display that was left idle has cooled, and its luminance has changed. Before
-- more is read it shows a grey for twice as long as it was idle; the grey leaves
-- nothing behind in the panel.
local rewarm = {}

local shortest = 60  -- s; after a shorter pause the display has hardly cooled
local longest = 3600 -- s; after that even a cold display is warm

function rewarm.after(pause, signal)
  if pause.seconds < shortest then return end
  local seconds = math.min(2 * pause.seconds, longest)
  record.note(string.format("The run was paused for %.0f min. The display then warmed up for %.0f min before the run went on.",
    pause.seconds / 60, seconds / 60))
  patches.show { grey = 0.5, signal = signal }
  clock.wait(seconds)
end

return rewarm
