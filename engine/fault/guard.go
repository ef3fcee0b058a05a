package fault

import "fmt"

// Guard calls code that may panic, such as a driver's, and gives the panic as an
// error that matches [ErrInternal]: a mistake there must cost neither the run's
// folder nor the safe end. who names the one who is called.
func Guard(who string, call func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%s: %w: %v", who, ErrInternal, p)
		}
	}()
	return call()
}
