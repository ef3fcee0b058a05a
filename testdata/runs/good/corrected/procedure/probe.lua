return procedure {
  title = "T", purpose = "P",
  needs = { meter = {}, patches = {} },
  run = function(p)
for name, rgb in pairs { Red = { 1, 0, 0 }, Green = { 0, 1, 0 }, Blue = { 0, 0, 1 }, White = { 1, 1, 1 } } do
patches.show { rgb = rgb, window = 10 }
local r = meter.read { after = 1, relative = 0.2 }
for _, k in ipairs { "X", "Y", "Z", "x", "y", "u", "v" } do
record.value { name = name .. " " .. k, id = name:lower() .. "-" .. (k == k:upper() and "big-" or "") .. k:lower(), value = r[k], of = r }
end
record.value { name = name .. " by", value = r.correction or "none" }
end
meter.settle { within = 5, over = 5, timeout = 60 }
local other = meter.named("reference").read { repeats = 2 }
record.value { name = "Reference", value = other.Y, unit = "cd/m2" }
record.value { name = "Reference by", value = other.correction or "none" }
record.value { name = "About", value = meter.about().correction or "none" }
  end,
}
