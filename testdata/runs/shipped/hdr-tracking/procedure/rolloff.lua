-- Where a display stops following an absolute signal.

local rolloff = {}

-- find takes steps in rising order, each { signal, target, ratio } with ratio
-- the luminance over its target, and a share in percent. The roll-off begins
-- where the ratio falls by the share below what it is on the steps beneath, and
-- never comes back: the last step that holds is looked for from the top. It
-- gives that step's number and the ratio beneath, and the signal where the ratio
-- crosses, nil where the top step holds too.
function rolloff.find(steps, by)
  local keep = 1 - by / 100
  for last = #steps, 1, -1 do
    local ratios = {}
    for i = 1, last do ratios[i] = steps[i].ratio end
    local level = stats.median(ratios)
    if steps[last].ratio >= keep * level then
      return last, level, rolloff.crossing(steps[last], steps[last + 1], keep * level)
    end
  end
  return 0, nil, nil
end

-- crossing is the signal between two steps at which the ratio, straight in
-- logarithms, passes a level.
function rolloff.crossing(holds, falls, level)
  if not falls then return nil end
  local share = math.log(holds.ratio / level) / math.log(holds.ratio / falls.ratio)
  return holds.signal + share * (falls.signal - holds.signal)
end

return rolloff
