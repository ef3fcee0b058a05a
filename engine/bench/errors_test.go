package bench

import (
	"errors"
	"fmt"
	"io"
	"testing"
)

func TestErrorKeepsCodeHintAndCause(t *testing.T) {
	err := fmt.Errorf("step 3: %w", Errorf(CodePaused, "go on later", "operator: the input ended: %w", io.EOF))
	fails(t, err, CodePaused, "operator: the input ended: EOF", "go on later")
	for _, is := range []error{ErrPaused, io.EOF} {
		if !errors.Is(err, is) {
			t.Errorf("error is no %v", is)
		}
	}
	for _, not := range []error{ErrTimeout, ErrStruck, ErrUnsupported, ErrBadReading, io.ErrUnexpectedEOF} {
		if errors.Is(err, not) {
			t.Errorf("error is taken for %v", not)
		}
	}
}

func TestSentinels(t *testing.T) {
	for code, err := range map[string]error{
		"timeout": ErrTimeout, "paused": ErrPaused, "struck": ErrStruck,
		"unsupported": ErrUnsupported, "bad-reading": ErrBadReading,
	} {
		var e *Error
		if !errors.As(err, &e) || e.Code() != code || e.Error() == "" {
			t.Errorf("%s is %v", code, err)
		}
	}
}
