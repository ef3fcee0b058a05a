-- Dunlin: a colorimeter on a serial port that speaks lines.
--
--   to it        from it
--   ID           DUNLIN <serial> <firmware>
--   M            OK <luminance in cd/m2> <x> <y>      or  ER <number>
--   E <text>     E <text>                             (it repeats the line)
--
-- Lines to it end with a carriage return, lines from it with carriage return and line feed.

local wait = 0
local errors = { ["1"] = "no light", ["2"] = "too much light" }

local function ask(link, command) return link:ask(command .. "\r", { ends = "\r\n" }) end

return driver {
  kind = "meter",
  title = "Dunlin colorimeter",
  settings = {
    wait = { default = 0, unit = "s", min = 0, max = 10, help = "sets how long to wait before each reading" },
  },

  open = function(link, settings) wait = settings.wait end,

  about = function(link)
    local serial, firmware = ask(link, "ID"):match("^DUNLIN (%S+) (%S+)$")
    if not serial then error("this is no Dunlin") end
    return { name = "Dunlin", serial = serial, firmware = firmware, floor = 0.01 }
  end,

  read = function(link)
    link:wait(wait)
    local answer = ask(link, "M")
    local number = answer:match("^ER (%d+)$")
    if number then refused(errors[number] or "error " .. number) end
    local Y, x, y = answer:match("^OK (%S+) (%S+) (%S+)$")
    if not Y then error("the answer is no reading: " .. answer) end
    return { Y = tonumber(Y), x = tonumber(x), y = tonumber(y) }
  end,

  -- A question whose answer is known. The number is another one each time, so that the answer to an
  -- earlier question is not taken for it.
  resync = function(link)
    local question = "E " .. math.random(1e9)
    link:write(question .. "\r")
    repeat until link:line { ends = "\r\n" } == question
  end,
}
