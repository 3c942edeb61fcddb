package record_test

import (
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/assemble"
	"earframe/pocket"
	"earframe/practice"
	"earframe/practice/budget"
	"earframe/practice/fixation"
	"earframe/practice/kit"
	"earframe/practice/mould"
	"earframe/report/record"
	"earframe/units"
)

// unrecorded are the fields of results that no record holds: surfaces, solids and
// drawings, which have files of their own, and what stands elsewhere in the record.
var unrecorded = map[string][]string{
	"assemble.Framework": {"Plan", "Pieces", "Joined", "Solid", "Step", "Tolerance"},
	"practice.Set":       {"Framework", "Carved", "Heights", "Values"},
	"practice.Blank":     {"Mesh", "Verdict"},
	"rib.Blank":          {"Outline", "Each", "Solid"},
	"mould.Mould":        {"Cavity", "CavityMesh", "Block"},
	"mould.Section":      {"Solid", "Mesh"},
	"kit.Kit":            {"Findings", "Values"},
	"kit.Print":          {"Unit", "Solid", "Mesh", "Verdict", "Printed", "OnBed"},
	"kit.Plate":          {"Objects"},
	"fixation.Plan":      {"Findings", "Values"},
	"budget.Part":        {"Outline"},
	"budget.Placement":   {"Outline"},
	"budget.Nesting":     {"Outline"},
	"pocket.Result":      {"Plan", "Field", "Outline", "Depth", "Drape", "Skin", "Measures"},
}

// filler gives every number, text and flag of a result a value of its own.
type filler struct{ next int }

func (f *filler) fill(v reflect.Value) {
	f.next++
	switch v.Kind() {
	case reflect.Int, reflect.Int32:
		v.SetInt(int64(f.next))
	case reflect.Float64:
		v.SetFloat(float64(f.next) + 0.25)
	case reflect.String:
		v.SetString(string(rune('a'+f.next%26)) + v.Type().Name())
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Interface:
		if v.NumMethod() == 0 {
			v.Set(reflect.ValueOf(float64(f.next) + 0.25))
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			f.fill(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if field := v.Type().Field(i); field.IsExported() && !slices.Contains(unrecorded[v.Type().String()], field.Name) {
				f.fill(v.Field(i))
			}
		}
	}
}

// requireSame requires that a record holds every field of a result under the same
// name, but for those that are not recorded.
func requireSame(t *testing.T, place string, result, taken reflect.Value) {
	t.Helper()
	switch result.Kind() {
	case reflect.Pointer, reflect.Interface:
		if result.IsNil() {
			return
		}
		if taken.Kind() == reflect.Pointer || taken.Kind() == reflect.Interface {
			taken = taken.Elem()
		}
		requireSame(t, place, result.Elem(), taken)
	case reflect.Slice, reflect.Array:
		require.Equal(t, result.Len(), taken.Len(), place)
		for i := range result.Len() {
			requireSame(t, place+"[]", result.Index(i), taken.Index(i))
		}
	case reflect.Struct:
		for i := range result.NumField() {
			field := result.Type().Field(i)
			if !field.IsExported() || slices.Contains(unrecorded[result.Type().String()], field.Name) {
				continue
			}
			held := taken
			if !field.Anonymous {
				held = taken.FieldByName(field.Name)
			}
			require.True(t, held.IsValid(), "%s.%s is in no record", place, field.Name)
			requireSame(t, place+"."+field.Name, result.Field(i), held)
		}
	default:
		require.True(t, result.Equal(taken.Convert(result.Type())), "%s: %v is recorded as %v", place, result, taken)
	}
}

// filled fills a result and requires that its record holds it.
func filled[Result, Record any](t *testing.T, take func(*Result) Record) {
	t.Helper()
	var result Result
	new(filler).fill(reflect.ValueOf(&result).Elem())
	taken := take(&result)
	requireSame(t, reflect.TypeOf(result).String(), reflect.ValueOf(result), reflect.Indirect(reflect.ValueOf(taken)))
}

func TestRecordsHoldEveryFieldOfTheirResults(t *testing.T) {
	framework := &assemble.Framework{Plan: &units.Plan{}}
	filled(t, func(f *assemble.Framework) *record.Build {
		f.Plan = framework.Plan
		return record.NewBuild(f, nil, nil, "")
	})
	filled(t, func(s *practice.Set) *record.Practice {
		s.Framework = framework
		return record.NewPractice(s)
	})
	filled(t, func(m *pocket.Measures) *record.Pocket {
		return record.NewPocket(&pocket.Result{Plan: framework.Plan, Measures: *m})
	})
	filled(t, func(r *pocket.Result) *record.Pocket {
		r.Plan = framework.Plan
		return record.NewPocket(r)
	})
	filled(t, record.NewVariation)
	filled(t, func(v *units.Value) record.Value {
		plan := units.Plan{Values: []units.Value{*v}}
		return record.NewBuild(&assemble.Framework{Plan: &plan}, nil, nil, "").Inputs[0]
	})
}

func TestResultsBearNoTags(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var look func(reflect.Type)
	look = func(of reflect.Type) {
		if seen[of] {
			return
		}
		seen[of] = true
		switch of.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array:
			look(of.Elem())
		case reflect.Struct:
			for i := range of.NumField() {
				assert.Empty(t, of.Field(i).Tag, "%s.%s", of, of.Field(i).Name)
				look(of.Field(i).Type)
			}
		}
	}
	for _, result := range []any{
		assemble.Framework{}, practice.Set{}, pocket.Result{}, pocket.Variation{},
		mould.Mould{}, kit.Kit{}, fixation.Plan{}, budget.Budget{}, units.Finding{}, units.Value{}, units.RisePoint{},
	} {
		look(reflect.TypeOf(result))
	}
}
