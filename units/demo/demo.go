// Package demo holds the built-in examples, each the drawing of a left ear and its
// case file, with invented measurements. No person was measured.
package demo

import (
	"embed"
	"os"
	"path/filepath"
)

// Example is a built-in case.
type Example struct {
	Template []byte // the drawing, which the case names template.svg
	Case     []byte
}

//go:embed good hard
var files embed.FS

// The examples.
var (
	// Good is a framework that a surgeon would be content with: the ear of a child of
	// about ten years.
	Good = example("good")
	// Hard shows what the findings are for: a large ear, thick skin, little cartilage.
	Hard = example("hard")
)

func example(name string) Example {
	return Example{content(name + "/template.svg"), content(name + "/case.yaml")}
}

// Write writes the example into a folder that is there and returns the path of its
// case file.
func (e Example) Write(dir string) (string, error) {
	if err := os.WriteFile(filepath.Join(dir, "template.svg"), e.Template, 0o644); err != nil {
		return "", err
	}
	path := filepath.Join(dir, "case.yaml")
	return path, os.WriteFile(path, e.Case, 0o644)
}

func content(name string) []byte {
	data, err := files.ReadFile(name)
	if err != nil {
		panic(err) // it is embedded above
	}
	return data
}
