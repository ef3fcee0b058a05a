-- Mistake: HDR patches of up to 1,000 cd/m2 are sent without the metadata that say so.
-- Lesson: The television then expects content of 4,000 cd/m2 and makes room for it: 1,000 cd/m2 are shown too dark. With the
--   metadata of the content it need not. State with every HDR patch what it says of its content, and test with several.
-- Right: right/hdr-with-metadata.lua
-- Trial: trials/thousand.lua, fulmar-55
-- Bias: luminance-of-1000-cd-m2 -5 to -2.5 %
return procedure {
  title    = "HDR tracking, without metadata",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { nits = 1000, window = 2, signal = "pq" }
    record.value { name = "Luminance of 1000 cd/m2", value = meter.read { after = 12, relative = 0.1 }, unit = "cd/m2" }
  end,
}
