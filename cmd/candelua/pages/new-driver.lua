-- A driver: it makes one instrument speak. candelua api driver explains all of it.
-- A bench file names it:
--
--   [meter]
--   driver = "lua"
--   link = "serial:/dev/serial/by-id/…?baud=9600"    (candelua bench ports lists them)
--   [meter.options]
--   file = "NAME.lua"
--
-- Look at the instrument with: candelua bench check FILE

local line = { ends = "\r\n", timeout = 10 } -- how the instrument ends its lines

return driver {
  kind = "meter", -- or patches, unit, rig
  title = "NAME",

  -- Who is there. Without a serial number, another instrument in its place is not noticed.
  about = function(link)
    local answer = link:ask("ID?\r\n", line)
    return { name = "NAME", serial = answer }
  end,

  -- One reading, now.
  read = function(link, ask)
    local answer = link:ask("READ?\r\n", line)
    local Y, x, y = answer:match("^(%S+),(%S+),(%S+)$")
    if not Y then refused(answer) end -- what the instrument reports against itself
    return { Y = tonumber(Y), x = tonumber(x), y = tonumber(y) }
  end,

  -- A question whose answer is known, so that a late answer is not taken for the next one.
  resync = function(link)
    local question = "ECHO " .. math.random(1e9)
    link:write(question .. "\r\n")
    repeat until link:line(line) == question
  end,
}
