-- Mistake in line 8: the answer has a field that no reading of a driver has.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link)
    local text = link:ask("READ\r")
    return { luminance = tonumber(text) }
  end,
}
