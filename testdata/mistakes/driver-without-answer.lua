-- Mistake in line 8: the function does not return what it has read.
local latest
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail", serial = latest } end,
  -- takes one reading
  read  = function(link)
    latest = tonumber(link:ask("READ\r"))
  end,
}
