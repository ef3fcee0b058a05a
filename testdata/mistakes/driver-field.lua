-- Mistake in line 5: a field of a driver is misspelt.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  connection = "serial",
  about = function() return { name = "Wagtail" } end,
  read  = function(link) return { Y = tonumber(link:ask("READ\r")) } end,
}
