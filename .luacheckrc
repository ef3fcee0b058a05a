-- What scripts are given beside Lua itself.
read_globals = {
  "procedure", "meter", "patches", "unit", "operator", "clock", "record", "run", "colour", "stats", "rig", "trial",
}
max_line_length = 140
