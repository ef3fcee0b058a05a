-- Redshank: a pattern generator on a network, which is busy for a while after it has taken a patch.
--
--   It greets whoever connects. Each of its lines begins with a number of three digits.
--
--   to it                 from it
--   WHO                   200 REDSHANK 0042
--   WIN 255 0 0 10.00     202 ACCEPTED
--   STAT                  503 BUSY, or 200 SHOWN
--   NOP 7                 200 NOP 7

local function ask(link, command)
  local answer = link:ask(command .. "\r\n")
  local code, text = answer:match("^(%d%d%d) (.*)$")
  if not code then error("the answer is none: " .. answer) end
  return tonumber(code), text
end

return driver {
  kind = "patches",
  title = "Redshank pattern generator",

  open = function(link) link:line { timeout = 2 } end, -- the greeting

  about = function(link)
    local _, text = ask(link, "WHO")
    return { name = "Redshank", serial = text:match("(%S+)$") }
  end,

  show = function(link, wanted)
    local r, g, b = unpack(wanted.codes)
    local code, text = ask(link, string.format("WIN %d %d %d %.2f", r, g, b, wanted.window))
    if code ~= 202 then refused(text) end
    repeat
      link:wait(0.05)
      code, text = ask(link, "STAT")
    until code ~= 503
    if code ~= 200 then refused(text) end
  end,

  resync = function(link)
    local tag = math.random(1e9)
    link:write("NOP " .. tag .. "\r\n")
    repeat until link:line() == "200 NOP " .. tag
  end,
}
