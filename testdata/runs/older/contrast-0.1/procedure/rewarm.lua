-- A display that stood has cooled, and its light is no longer what it was when
-- the run began. It runs for twice as long as it stood, on a grey that marks
-- nothing, before more is read.
local rewarm = {}

local shortest = 60  -- s; a shorter pause cools nothing that matters
local longest = 3600 -- s; by then a display is warm that was quite cold

function rewarm.after(pause, signal)
  if pause.seconds < shortest then return end
  local seconds = math.min(2 * pause.seconds, longest)
  record.note(string.format("The run stood still for %.0f min; the display was let run for %.0f min before it went on.",
    pause.seconds / 60, seconds / 60))
  patches.show { grey = 0.5, signal = signal }
  clock.wait(seconds)
end

return rewarm
