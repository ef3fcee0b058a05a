-- Knot: a luminance meter on a serial port that speaks in frames of bytes.
--
--   02 <kind> <length> <payload> <sum of all bytes before it, low 8 bits>
--
--   to it            from it
--   'I' nothing      'I' serial number (u32, low byte first), firmware (u8)
--   'R' nothing      'R' number of the reading (u16), status (u8: 0, or 1 no light), luminance in cd/m2 (f32)
--   'P' 4 bytes      'P' the same 4 bytes

local function send(link, kind, payload)
  local head = bytes.pack("u8", { 2 }) .. kind .. bytes.pack("u8", { #payload }) .. payload
  link:write(head .. bytes.pack("u8", { bytes.sum(head) % 256 }))
end

local function receive(link)
  local head = link:bytes(3)
  local start, kind, length = bytes.unpack("u8 u8 u8", head)
  if start ~= 2 then error("a frame begins with 02, and this one with " .. bytes.hex(head)) end
  local rest = link:bytes(length + 1)
  local payload = rest:sub(1, length)
  if bytes.unpack("u8", rest, length + 1) ~= bytes.sum(head .. payload) % 256 then
    error("the sum of a frame is wrong: " .. bytes.hex(head .. rest))
  end
  return string.char(kind), payload
end

local function ask(link, kind)
  send(link, kind, "")
  local got, payload = receive(link)
  if got ~= kind then error("the answer is of another kind: " .. got) end
  return payload
end

return driver {
  kind = "meter",
  title = "Knot luminance meter",

  about = function(link)
    local serial, firmware = bytes.unpack("u32le u8", ask(link, "I"))
    return { name = "Knot", serial = tostring(serial), firmware = tostring(firmware) }
  end,

  read = function(link)
    local count, status, Y = bytes.unpack("u16le u8 f32le", ask(link, "R"))
    if status ~= 0 then refused("no light") end
    return { Y = Y, count = count }
  end,

  -- Four bytes that are others each time. Frames begin anywhere in what still comes, so byte after byte is looked at.
  resync = function(link)
    local token = bytes.pack("u32le", { math.random(0, 2 ^ 31) })
    send(link, "P", token)
    local came = ""
    repeat
      came = (came .. link:bytes(1)):sub(-8)
    until came:sub(1, 7) == "\002P\004" .. token
  end,
}
