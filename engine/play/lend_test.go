package play

import (
	"context"
	"errors"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// waiting is a driver whose device comes never.
type waiting struct{}

func (waiting) Open(ctx context.Context, _ bench.Kind, _ bench.Section) (bench.Device, error) {
	<-ctx.Done()
	return nil, context.Cause(ctx)
}
func (waiting) Close() error { return nil }

// Who stops while a bench is being opened finds no fault with the bench file.
func TestStoppedWhileOpening(t *testing.T) {
	f, err := bench.ParseFile("b.toml", []byte("[patches]\ndriver = 'waiting'"))
	if err != nil {
		t.Fatal(err)
	}
	openers := bench.Openers{"waiting": func() (bench.Driver, error) { return waiting{}, nil }}
	for cause, usage := range map[error]bool{ErrInterrupted: false, errors.New("no answer"): true} {
		ctx, stop := context.WithCancelCause(t.Context())
		stop(cause)
		b, err := OpenBench(ctx, f, openers)
		if b != nil || !errors.Is(err, cause) || errors.Is(err, fault.ErrUsage) != usage {
			t.Errorf("%v: the bench is %v, the error %v", cause, b, err)
		}
	}
}
