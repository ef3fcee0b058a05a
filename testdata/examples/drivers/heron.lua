-- Heron: a spectroradiometer that takes SCPI commands, by network (port 5025) or USBTMC.
--
--   *IDN?              <maker>,<model>,<serial>,<firmware>
--   *ESE <n>, *ESE?    keeps a number from 0 to 255, and gives it back
--   MEAS:XYZ?          <X>,<Y>,<Z>       in cd/m2; 9.91E37 where it has no value
--   MEAS:SPEC?         <first nm>,<step nm>,<value>,<value>,…
--   SYST:ERR?          0,"No error", or the oldest error
--
-- Lines end with a line feed both ways. A question that it cannot answer gets no answer, and an error in the queue.

local token = 0

-- An error that waits in the queue belongs to what was asked before.
local function clear(link) link:write("*CLS\n") end

local function numbers(text)
  local list = {}
  for part in text:gmatch("[^,]+") do
    local n = tonumber(part)
    if not n then error("this is no number: " .. part) end
    list[#list + 1] = n
  end
  return list
end

local function check(link)
  local code, text = link:ask("SYST:ERR?\n"):match('^([-+]?%d+),"(.*)"$')
  if not code then error("the error queue cannot be read") end
  if tonumber(code) ~= 0 then refused(text) end
end

return driver {
  kind = "meter",
  title = "Heron spectroradiometer",
  settings = {
    speed = { default = "auto", one_of = { "auto", "fast", "slow" }, help = "sets how long the light is integrated" },
  },

  open = function(link, settings)
    clear(link)
    link:write("SENS:SPEED " .. settings.speed:upper() .. "\n")
  end,

  about = function(link)
    check(link) -- of what open set
    local model, serial, firmware = link:ask("*IDN?\n"):match("^[^,]*,([^,]*),([^,]*),([^,]*)$")
    if not model then error("*IDN? was not answered with four parts") end
    return { name = model, serial = serial, firmware = firmware, spectrum = true }
  end,

  read = function(link, ask)
    local v = numbers(link:ask("MEAS:XYZ?\n"))
    check(link)
    if #v ~= 3 then error("a reading has three numbers, and this one " .. #v) end
    for i = 1, 3 do
      if v[i] > 9e37 then refused("no value") end -- SCPI's not a number
    end
    local reading = { X = v[1], Y = v[2], Z = v[3] }
    if ask.spectrum then
      local s = numbers(link:ask("MEAS:SPEC?\n"))
      check(link)
      reading.spectrum = { from = s[1], step = s[2], values = { unpack(s, 3) } }
    end
    return reading
  end,

  -- The instrument is in step when it gives back the number that it was just given.
  resync = function(link)
    token = (token + math.random(1, 200)) % 256
    link:write("*CLS;*ESE " .. token .. ";*ESE?\n")
    repeat until link:line() == tostring(token)
  end,
}
