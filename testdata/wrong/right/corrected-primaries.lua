-- A four-colour correction from the reference meter, applied to later readings.
local colours = {
  { name = "red", rgb = { 1, 0, 0 } }, { name = "green", rgb = { 0, 1, 0 } }, { name = "blue", rgb = { 0, 0, 1 } },
  { name = "white", rgb = { 1, 1, 1 } },
}

local function read_all(m)
  local all = {}
  for _, c in ipairs(colours) do
    patches.show { rgb = c.rgb, window = 10 }
    all[c.name] = m.read { after = 3, repeats = 10, sync = true }
  end
  return all
end

return procedure {
  title    = "Primaries, corrected",
  purpose  = "Chromaticities of the primaries with a filter colorimeter that is corrected on this panel.",
  needs    = { meter = {}, reference = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local correction = colour.four_colour { reference = read_all(meter.named("reference")), target = read_all(meter) }
    local again = read_all(meter)
    for _, name in ipairs { "Red", "Green", "Blue" } do
      local c = colour.xy(correction:apply(again[name:lower()]))
      record.value { name = name .. " x", value = c.x, unit = "" }
      record.value { name = name .. " y", value = c.y, unit = "" }
    end
  end,
}
