package publish

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"
)

// Memory is a place in memory. Its zero value is empty and ready for use.
type Memory struct {
	ledger    ledger
	written   map[string][]byte
	concluded bool
}

// Contents returns the concluded files by name, the record among them; nil before
// Conclude.
func (m *Memory) Contents() map[string][]byte {
	if !m.concluded {
		return nil
	}
	return m.written
}

// Write is as Writer says.
func (m *Memory) Write(
	ctx context.Context, name string, write func(io.Writer) error, check func([]byte) error,
) (err error) {
	if err := m.ledger.take(name); err != nil {
		return fmt.Errorf("%s: not written: %w", name, err)
	}
	var content bytes.Buffer
	through := newDigest(ctx, &content)
	defer func() { m.ledger.settle(name, through, err) }()
	if err := write(through); err != nil {
		return fmt.Errorf("%s: not written: %w", name, err)
	}
	if check != nil {
		if err := check(content.Bytes()); err != nil {
			return fmt.Errorf("%s: not written: %w", name, err)
		}
	}
	m.ledger.mutex.Lock()
	defer m.ledger.mutex.Unlock()
	if m.written == nil {
		m.written = map[string][]byte{}
	}
	m.written[name] = content.Bytes()
	return nil
}

// Conclude is as Place says.
func (m *Memory) Conclude(ctx context.Context, record *Record) ([]File, error) {
	files, err := m.ledger.seal(ctx, m, record)
	if err != nil {
		return nil, err
	}
	m.concluded = true
	return files, nil
}

// Discard is as Place says.
func (m *Memory) Discard() {
	if m.ledger.end() {
		m.written = nil
	}
}

// Zip is a place in a zip file: entries in the order of their names, all with the
// same time, so that the same set gives the same bytes.
type Zip struct {
	Memory
	to io.Writer
}

// NewZip returns a place whose Conclude writes a zip to the writer. Until then the
// files are held in memory.
func NewZip(to io.Writer) *Zip { return &Zip{to: to} }

// Conclude is as Place says. On an error what has reached the writer is no zip.
func (z *Zip) Conclude(ctx context.Context, record *Record) ([]File, error) {
	files, err := z.Memory.Conclude(ctx, record)
	if err != nil {
		return nil, err
	}
	epoch := time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC) // the earliest a zip holds
	archive := zip.NewWriter(z.to)
	for _, name := range slices.Sorted(maps.Keys(z.written)) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		entry, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: epoch})
		if err != nil {
			return nil, fmt.Errorf("zip: %w", err)
		}
		if _, err := entry.Write(z.written[name]); err != nil {
			return nil, fmt.Errorf("zip: %s: %w", name, err)
		}
	}
	if err := archive.Close(); err != nil {
		return nil, fmt.Errorf("zip: %w", err)
	}
	return files, nil
}
