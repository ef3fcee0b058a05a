-- Where a display stops following an absolute signal.

local rolloff = {}

-- find takes steps in rising order and a share in percent. A step is { signal,
-- target, ratio }, with ratio the luminance over its target. The roll-off starts
-- where the ratio falls by the share below the median ratio of the steps below, and
-- does not recover; so the last step that still follows is searched from the top. It
-- gives the number of that step, that median, and the signal where the ratio passes
-- the limit, nil where the top step follows, too.
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

-- crossing gives the signal between two steps at which the ratio passes a level,
-- interpolated in logarithms.
function rolloff.crossing(holds, falls, level)
  if not falls then return nil end
  local share = math.log(holds.ratio / level) / math.log(holds.ratio / falls.ratio)
  return holds.signal + share * (falls.signal - holds.signal)
end

return rolloff
