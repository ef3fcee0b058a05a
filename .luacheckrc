-- What scripts are given beside Lua itself.
read_globals = {
  "procedure", "meter", "patches", "unit", "operator", "clock", "record", "run", "colour", "stats", "rig", "trial",
}
max_line_length = 140

-- Their texts for people stand in one line each.
for _, name in ipairs { "scripts/meter-match.lua", "scripts/meter-health.lua", "scripts/spectrum.lua", "scripts/lib/matching.lua",
  "scripts/trials/meter-health.lua", "scripts/trials/meter-match-swap.lua", "scripts/trials/spectrum.lua" } do
  files[name].max_line_length = 220
end
