package practice

import (
	"context"

	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/practice/mould"
)

// Standing returns a print with its lowest point at z = 0, and the judge's word on
// it: the one given where it stands so already. Where moving it would cost its
// soundness it stays where it is: programs that print put it on the plate
// themselves.
func Standing(ctx context.Context, m *mesh.Mesh, word mesh.Verdict) (*mesh.Mesh, *mesh.Verdict, error) {
	moved := m.OnPlate()
	if moved == m {
		return m, &word, nil
	}
	verdict, err := mesh.JudgeContext(ctx, moved)
	if err != nil || verdict.Sound() {
		return moved, &verdict, err
	}
	verdict, err = mesh.JudgeContext(ctx, m)
	return m, &verdict, err
}

// MouldPrints returns the pieces of a mould as they are printed.
func MouldPrints(ctx context.Context, m *mould.Mould) ([]meshfile.Object, error) {
	var prints []meshfile.Object
	for k := range m.Pieces {
		p := &m.Pieces[k]
		// What is turned over is moved, and judged again.
		printed, verdict, err := Standing(ctx, p.Printed(), p.Verdict)
		if err != nil {
			return nil, err
		}
		prints = append(prints, meshfile.Object{
			Name: m.Name + "-" + p.Name, Label: m.Label + ", mould, " + p.Name, Mesh: printed, Verdict: verdict,
		})
	}
	return prints, nil
}
