-- The peak of a sweep is the mean of its plateau: the highest row, and those next to
-- it that lie within a share of it. The maximum of noisy rows would be too high, and
-- more so the more rows there are.

local plateau = {}

-- find takes a list of { x = …, reading = … } and a share in percent. It gives the
-- plateau's mean luminance, its rows in the order of x, and the first and last x.
function plateau.find(rows, within)
  local sorted = {}
  for i, row in ipairs(rows) do sorted[i] = row end
  table.sort(sorted, function(a, b) return a.x < b.x end)

  local top = 1
  for i, row in ipairs(sorted) do
    if row.reading.Y > sorted[top].reading.Y then top = i end
  end
  local least = sorted[top].reading.Y * (1 - within / 100)
  local first, last = top, top
  while first > 1 and sorted[first - 1].reading.Y >= least do first = first - 1 end
  while last < #sorted and sorted[last + 1].reading.Y >= least do last = last + 1 end

  local members, values = {}, {}
  for i = first, last do
    table.insert(members, sorted[i])
    table.insert(values, sorted[i].reading.Y)
  end
  return { mean = stats.mean(values), rows = members, first = sorted[first].x, last = sorted[last].x }
end

-- near says how close to the peak, in percent, a row with a doubt must come to put
-- the peak in doubt.
local near = 10

-- hides says whether a row that is a lower limit may in truth be higher than the
-- plateau: it is part of the plateau, or no sound row lies between the two.
local function hides(row, found, rows)
  if #found.rows < 2 then return true end
  for _, other in ipairs(rows) do
    local between = row.x < other.x and other.x < found.first or found.last < other.x and other.x < row.x
    if between and not other.reading.doubt then return true end
  end
  return found.first <= row.x and row.x <= found.last
end

-- peak finds the plateau of the rows without a doubt and of those that are lower
-- limits. Where a lower limit may hide the peak, the peak is a lower limit, too. It
-- gives the plateau and its bound; or nil, no bound and why, where a row that could
-- not be measured may be the peak.
function plateau.peak(rows, within)
  local counted, limits, out = {}, {}, {}
  for _, row in ipairs(rows) do
    if row.reading.bound == "lower" then table.insert(limits, row) end
    table.insert(row.reading.doubt and not row.reading.bound and out or counted, row)
  end
  if #counted == 0 then return nil, nil, out[1].reading.doubt end
  local found, bound = plateau.find(counted, within), nil
  for _, row in ipairs(out) do
    if row.reading.Y >= found.mean * (1 - near / 100) then return nil, nil, row.reading.doubt end
  end
  for _, row in ipairs(limits) do
    if hides(row, found, counted) then bound = "lower" end
  end
  return found, bound, ""
end

return plateau
