// Package demotest gives tests an ear whose values they know, apart from the built-in
// examples, which may be drawn anew: on disk, planned, or as fields; and looks up the
// rules of findings. Its skin is thick for its grooves, so that most findings show.
package demotest

import (
	"context"
	_ "embed"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/units"
)

// The ear: invented measurements of a school-age child, its framework drawn as carved.
var (
	//go:embed template.svg
	drawn string
	//go:embed case.yaml
	planned string
)

// Write writes the ear into a folder of the test's own and returns the path of
// its case file. Where the first of a pair of texts stands first in the case, and in
// the drawing, the second takes its place; it is a failure if it stands in neither.
func Write(t testing.TB, replace ...string) string {
	t.Helper()
	path, err := write(t.TempDir(), replace)
	require.NoError(t, err)
	return path
}

// Plan returns the ear's plan, texts replaced as by Write.
func Plan(t testing.TB, replace ...string) *units.Plan {
	t.Helper()
	plan, err := Load(replace...)
	require.NoError(t, err)
	return plan
}

// Load is Plan for what is made once for several tests, and so belongs to none.
func Load(replace ...string) (*units.Plan, error) {
	dir, err := os.MkdirTemp("", "demo")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path, err := write(dir, replace)
	if err != nil {
		return nil, err
	}
	return units.Load(context.Background(), path)
}

func write(dir string, replace []string) (path string, err error) {
	text, drawing := planned, drawn
	for i := 0; i < len(replace); i += 2 {
		old, with := replace[i], replace[i+1]
		if !strings.Contains(text, old) && !strings.Contains(drawing, old) {
			return "", fmt.Errorf("%q is not in the ear's files", old)
		}
		text, drawing = strings.Replace(text, old, with, 1), strings.Replace(drawing, old, with, 1)
	}
	path = filepath.Join(dir, "case.yaml")
	if err := os.WriteFile(filepath.Join(dir, "template.svg"), []byte(drawing), 0o644); err != nil {
		return "", err
	}
	return path, os.WriteFile(path, []byte(text), 0o644)
}

// Fields returns the fields of a plan's units, without letters.
func Fields(t testing.TB, plan *units.Plan) []field.Field {
	t.Helper()
	solids, err := plan.Solids(t.Context())
	require.NoError(t, err)
	fields := make([]field.Field, len(solids))
	for i, s := range solids {
		fields[i] = s.Field
	}
	return fields
}

// Kinds returns the rules of findings with their severities. It is a failure if a
// rule is not registered, or says of itself that it is never that severe.
func Kinds(t testing.TB, findings []units.Finding) map[string]units.Severity {
	t.Helper()
	kinds := map[string]units.Severity{}
	for _, f := range findings {
		at := slices.IndexFunc(units.Rules(), func(r units.Rule) bool { return r.ID == f.Rule })
		require.GreaterOrEqual(t, at, 0, "rule %q of %q is not in units/rules.go: enter it there", f.Rule, f)
		rule := units.Rules()[at]
		require.Contains(t, []units.Severity{rule.Severity, rule.Or}, f.Severity, "%s in units/rules.go", f.Rule)
		kinds[f.Rule] = f.Severity
	}
	return kinds
}
