-- Whimbrel: a colorimeter on a serial port that a person can talk to, too.
--
--   It repeats each line that it is sent, and ends its answer with "> " in place of an end of line. Numbers have an exponent and
--   a decimal comma. Lines that begin with # may come at any time; one that begins with ? reports an error.
--
--   to it    from it
--   ID       WHIMBREL SN 0042
--   MES      Y=+1,2345E+02;x=+3,1270E-01;y=+3,2900E-01
--   TAG 7    TAG=7

local function answer_of(text, command)
  local repeated = false
  for line in text:gmatch("[^\r\n]+") do
    if line == command then
      repeated = true
    elseif line:match("^%?") then
      refused(line:sub(2))
    elseif repeated and not line:match("^#") then
      return line
    end
  end
  error("no answer to " .. command)
end

local function ask(link, command)
  return answer_of(link:ask(command .. "\r", { ends = "> " }), command)
end

local function number(text) return tonumber((text:gsub(",", "."))) end

return driver {
  kind = "meter",
  title = "Whimbrel colorimeter",

  about = function(link)
    return { name = "Whimbrel", serial = ask(link, "ID"):match("SN (%S+)$") }
  end,

  read = function(link)
    local Y, x, y = ask(link, "MES"):match("^Y=([^;]+);x=([^;]+);y=([^;]+)$")
    if not Y then error("the answer is no reading") end
    return { Y = number(Y), x = number(x), y = number(y) }
  end,

  resync = function(link)
    local tag = math.random(1e9)
    link:write("TAG " .. tag .. "\r")
    repeat until link:line({ ends = "> " }):find("TAG=" .. tag .. "\r", 1, true)
  end,
}
