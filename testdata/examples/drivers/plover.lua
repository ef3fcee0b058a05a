-- Plover: a pattern generator on a network, port 7000.
--
--   WIN <percent> <red> <green> <blue> <red> <green> <blue>     code values of window and background
--   BYE
--   ID
--
-- It answers each line with "=" and what there is to say, or with "! <what is wrong>". Lines end with a line feed.

local delay = 0

local function tell(link, ...)
  local answer = link:ask(table.concat({ ... }, " ") .. "\n")
  local wrong = answer:match("^! (.*)$")
  if wrong then refused(wrong) end
  return answer:match("^= ?(.*)$") or error("this is no answer: " .. answer)
end

return driver {
  kind = "patches",
  title = "Plover pattern generator",
  settings = {
    delay = { default = 0.05, unit = "s", min = 0, max = 5, help = "states how long after its answer the light changes" },
  },

  open = function(link, settings) delay = settings.delay end,

  about = function(link)
    local name, serial = tell(link, "ID"):match("^(%S+) (%S+)$")
    return { name = name, serial = serial }
  end,

  show = function(link, ask)
    if ask.at_x ~= 0.5 or ask.at_y ~= 0.5 then refused("it shows windows in the centre only") end
    local c, b = ask.codes, ask.back_codes
    tell(link, "WIN", string.format("%.2f", ask.window), c[1], c[2], c[3], b[1], b[2], b[3])
    return { delay = delay }
  end,

  close = function(link) tell(link, "BYE") end,
}
