package engine

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"earframe/publish"
	"earframe/units/casefile"
	"earframe/units/demo"
)

// CaseFile is the name of the case file in a folder that is started here.
const CaseFile = "case.yaml"

// caseText is a file of a new case.
type caseText struct {
	name string
	text []byte
}

func caseTexts(e demo.Example) []caseText {
	return []caseText{{"template.svg", e.Template}, {CaseFile, e.Case}, {casefile.SchemaFile, casefile.Schema()}}
}

// StartCase writes the files of a new case, named after the folder, into it and
// returns their paths: the example's drawing and values, and beside them every key
// that there is. It first makes sure that none of the files is there.
func StartCase(ctx context.Context, dir string, from demo.Example) ([]string, error) {
	example, err := casefile.Parse(CaseFile, from.Case)
	if err != nil {
		return nil, err
	}
	if from.Case, err = casefile.New(caseName(dir), example); err != nil {
		return nil, err
	}
	files := caseTexts(from)
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		if _, err := os.Lstat(path); err == nil {
			return nil, fmt.Errorf("%s is there already; choose another folder, or move it away", path)
		}
	}
	return writeCase(ctx, dir, files)
}

// ErrEdited says that a file of the example has been edited since it was written.
var ErrEdited = errors.New("differs from the demo's")

// StartDemo writes a built-in example into the folder and returns the case
// file's path. Where its drawing or its case has been edited there, nothing is
// written and the error wraps ErrEdited; the schema is always this program's.
func StartDemo(ctx context.Context, dir string, example demo.Example) (string, error) {
	files := caseTexts(example)
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		there, err := os.ReadFile(path)
		if err == nil && f.name != casefile.SchemaFile && !bytes.Equal(there, f.text) {
			return "", fmt.Errorf("%s %w", path, ErrEdited)
		}
	}
	_, err := writeCase(ctx, dir, files)
	return filepath.Join(dir, CaseFile), err
}

// writeCase writes the files of a case into the folder, all of them or none, and
// returns their paths.
func writeCase(ctx context.Context, dir string, files []caseText) ([]string, error) {
	to, err := publish.NewFolder(dir)
	if err != nil {
		return nil, err
	}
	defer to.Discard()
	var written []string
	for _, f := range files {
		if err := publish.WriteBytes(ctx, to, f.name, f.text); err != nil {
			return nil, err
		}
		written = append(written, filepath.Join(dir, f.name))
	}
	_, err = to.Conclude(ctx, nil)
	return written, err
}

// caseName makes a case's name out of its folder's.
func caseName(dir string) string {
	full, err := filepath.Abs(dir)
	if err != nil {
		full = dir
	}
	name := strings.Map(func(r rune) rune {
		if r < 128 && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" ._-", r)) {
			return r
		}
		return '-'
	}, filepath.Base(full))
	name = strings.TrimLeft(name, " ._-")
	const longest = 40 // letters that the case file takes
	if name = name[:min(len(name), longest)]; name == "" {
		return "my-case"
	}
	return name
}
