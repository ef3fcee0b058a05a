-- Turnstone: a colorimeter that speaks in frames with a checksum, in which two bytes are escaped.
--
--   7E <number> <kind> <data> <CRC-16 of all since 7E, low byte first> 7E
--
--   Within a frame 7E is sent as 7D 5E, and 7D as 7D 5D. An answer has the number of its question, its kind and 80, and before
--   the data a status: 0, or what is wrong.
--
--   kind    data to it       data from it
--   1       nothing          name and serial number, as text
--   2       any bytes        the same bytes
--   3       nothing          Y in cd/m2, x, y (f32, low byte first)

local number = 0

local function check(body)
  return bytes.pack("u16le", { bytes.crc16(body, { polynomial = 0x1021, start = 0xFFFF, reflected = true, final = 0xFFFF }) })
end

local function send(link, kind, data)
  number = (number + 1) % 256
  local body = bytes.pack("u8 u8", { number, kind }) .. data
  body = (body .. check(body)):gsub("[\125\126]", { ["\126"] = "\125\094", ["\125"] = "\125\093" })
  link:write("\126" .. body .. "\126")
end

-- receive gives the next frame, or an error where its checksum is wrong.
local function receive(link)
  local raw
  repeat raw = link:line { ends = "\126" } until raw ~= ""
  local body = raw:gsub("\125(.)", { ["\094"] = "\126", ["\093"] = "\125" })
  if #body < 5 or check(body:sub(1, -3)) ~= body:sub(-2) then error("the checksum is wrong: " .. bytes.hex(raw:sub(1, 40))) end
  local of, kind, status = bytes.unpack("u8 u8 u8", body)
  return of, kind, status, body:sub(4, -3)
end

local function ask(link, kind)
  send(link, kind, "")
  repeat
    local of, got, status, data = receive(link)
    if of == number and got == kind + 0x80 then
      if status ~= 0 then refused("status " .. status) end
      return data
    end
  until false
end

return driver {
  kind = "meter",
  title = "Turnstone colorimeter",

  open = function() number = math.random(0, 255) end,

  about = function(link)
    local name, serial = ask(link, 1):match("^(%S+) (%S+)$")
    return { name = name, serial = serial }
  end,

  read = function(link)
    local Y, x, y = bytes.unpack("f32le f32le f32le", ask(link, 3))
    return { Y = Y, x = x, y = y }
  end,

  -- What is left of other frames may be before the answer.
  resync = function(link)
    local token = tostring(math.random(1e9))
    send(link, 2, token)
    repeat
      local whole, _, _, _, data = pcall(receive, link)
    until whole and data == token
  end,
}
