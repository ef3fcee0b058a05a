package scripts

import "embed"

// Files are the shipped scripts: procedures at the top, libraries in
// lib, trials in trials.
//
//go:embed *.lua lib/*.lua trials/*.lua
var Files embed.FS
