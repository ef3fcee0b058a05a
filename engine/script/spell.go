package script

import "candelua/engine/spell"

// nearest returns the known word that was most likely meant by word.
func nearest(word string, known []string) (string, bool) {
	near := spell.Nearest(word, known)
	return near, near != ""
}
