package meshtest

import (
	"context"
	"sync/atomic"
)

// Impatient is a context that ends after so many looks at it.
type Impatient struct {
	context.Context
	Looks atomic.Int64 // that are left
}

// ImpatientFor returns a context that ends after so many looks at it.
func ImpatientFor(looks int) *Impatient {
	c := &Impatient{Context: context.Background()}
	c.Looks.Store(int64(looks))
	return c
}

// Err returns context.Canceled once no looks are left.
func (c *Impatient) Err() error {
	if c.Looks.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}
