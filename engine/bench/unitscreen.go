package bench

// Pixels is the size of the unit's screen in pixels; 0 where it is not stated.
func (u *UnitFile) Pixels() (width, height int) { return u.screen.width, u.screen.height }
