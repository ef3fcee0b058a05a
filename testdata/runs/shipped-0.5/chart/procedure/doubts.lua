-- What stands against the readings behind several rows.
local doubts = {}

-- first gives the doubt of the first row that has one.
function doubts.first(rows)
  for _, row in ipairs(rows) do
    if row.doubt then return row.doubt end
  end
  return nil
end

return doubts
