package earframe_test

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/units"
)

var update = flag.Bool("update", false, "write docs/findings.md anew")

// findingsPage is generated of units.Rules.
const findingsPage = "docs/findings.md"

func TestRulesAreWellFormed(t *testing.T) {
	word := regexp.MustCompile(`^[a-z]+(-[a-z]+)+$`)
	seen := map[string]bool{}
	for _, r := range units.Rules() {
		assert.Regexp(t, word, r.ID)
		assert.False(t, seen[r.ID], "%s stands for two kinds of finding", r.ID)
		seen[r.ID] = true
		assert.Contains(t, []units.Severity{units.Note, units.Warning, units.Error}, r.Severity, r.ID)
		assert.NotEqual(t, r.Severity, r.Or, r.ID)
		assert.True(t, strings.HasSuffix(r.Says, "."), "%s says no sentence", r.ID)
		assert.Contains(t, units.Questions(), r.Question, "%s: which question does it answer?", r.ID)
		if r.Severity != units.Note || r.Or != "" {
			assert.NotEmpty(t, r.Fault, "%s: what is wrong, in a few words?", r.ID)
		}
		assert.False(t, strings.HasSuffix(r.Fault+r.Do, "."), "%s: a line of a list", r.ID)
	}
}

// Every finding in the code names a rule of units.Rules, and every rule there is
// named by the package that it is said to be of.
func TestEveryFindingHasARegisteredRule(t *testing.T) {
	of := map[string]string{}
	for _, r := range units.Rules() {
		of[r.ID] = r.Package
	}
	used := map[string]bool{}
	for _, s := range rulesInCode(t) {
		used[s.rule] = true
		assert.Equal(t, of[s.rule], s.folder, "%s: rule %q: enter it, with this package, in the table in units/rules.go; "+
			"then run go test . -run Findings -update", s.place, s.rule)
	}
	for id := range of {
		assert.True(t, used[id], "rule %q is in units/rules.go and no finding has it", id)
	}
}

func TestThePageOfFindingsIsInStep(t *testing.T) {
	if *update {
		require.NoError(t, os.WriteFile(findingsPage, []byte(pageOfFindings()), 0o644))
	}
	page, err := os.ReadFile(findingsPage)
	require.NoError(t, err)
	assert.Equal(t, pageOfFindings(), string(page), "run go test . -run Findings -update")
}

// pageOfFindings lists the rules, a table for each package.
func pageOfFindings() string {
	var page strings.Builder
	page.WriteString("# Findings\n\nEach finding in a record has the id of its kind under `rule`. " +
		"An id is never given to another kind.\n" +
		"A note informs, a warning asks for a look, an error means that what was made should not be used as it is.\n" +
		"The question is the one that it answers: the worst finding of a question decides what its verdict is.\n" +
		"This page is generated from `units/rules.go`.\n")
	last := ""
	for _, r := range units.Rules() {
		if r.Package != last {
			fmt.Fprintf(&page, "\n## %s\n\n| rule | question | severity | found when |\n"+
				"| --- | --- | --- | --- |\n", r.Package)
			last = r.Package
		}
		severity := string(r.Severity)
		if r.Or != "" {
			severity += " or " + string(r.Or)
		}
		fmt.Fprintf(&page, "| `%s` | %s | %s | %s |\n", r.ID, r.Question, severity, r.Says)
	}
	return page.String()
}

// site is where a rule is named in the code.
type site struct{ folder, place, rule string }

// rulesInCode finds the rules in the code of all packages. A function that makes a
// finding without naming a rule is a failure.
func rulesInCode(t *testing.T) []site {
	t.Helper()
	var sites []site
	files := token.NewFileSet()
	err := filepath.WalkDir(".", func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case entry.IsDir() && entry.Name() == "testdata":
			return filepath.SkipDir
		case filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		file, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		folder := filepath.ToSlash(filepath.Dir(path))
		for _, declared := range file.Decls {
			function, ok := declared.(*ast.FuncDecl)
			if !ok {
				continue
			}
			without, rules := findingsIn(function, folder == "units")
			assert.Empty(t, places(files, without), "a finding is made without a Rule in words: "+
				"give it one and enter that in units/rules.go")
			for _, rule := range rules {
				text, err := strconv.Unquote(rule.Value)
				require.NoError(t, err)
				sites = append(sites, site{folder, files.Position(rule.Pos()).String(), text})
			}
		}
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, sites)
	return sites
}

func TestAFindingWithoutARuleIsSeen(t *testing.T) {
	for code, want := range map[string]int{
		`return units.Finding{Severity: units.Error}`:                              1,
		`return units.Finding{Rule: "a-rule", Severity: units.Error}`:              0,
		`return []units.Finding{{Rule: "a-rule"}, {Severity: units.Error}}`:        1,
		`return units.Finding{Rule: word(), Severity: units.Error}`:                1,
		`f := units.Finding{Severity: units.Error}; f.Rule = "a-rule"; return f`:   0,
		`f := units.Finding{Severity: units.Error}; f.Unit = "a-rule"; return f`:   1,
		`rule := "a-rule"; return units.Finding{Rule: rule, Severity: units.Note}`: 0,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc f() {"+code+"}", 0)
		require.NoError(t, err, code)
		without, _ := findingsIn(file.Decls[0].(*ast.FuncDecl), false)
		assert.Len(t, without, want, code)
	}
}

func places(files *token.FileSet, nodes []ast.Node) string {
	var said []string
	for _, n := range nodes {
		said = append(said, files.Position(n.Pos()).String())
	}
	return strings.Join(said, ", ")
}

// findingsIn returns the findings a function makes without a rule, and all rules
// that it names: as a field, or assigned, which stands for all its findings.
func findingsIn(function *ast.FuncDecl, within bool) (without []ast.Node, rules []*ast.BasicLit) {
	assigned := false
	isFinding := func(kind ast.Expr) bool {
		switch kind := kind.(type) {
		case *ast.SelectorExpr:
			from, ok := kind.X.(*ast.Ident)
			return ok && from.Name == "units" && kind.Sel.Name == "Finding"
		case *ast.Ident:
			return within && kind.Name == "Finding"
		}
		return false
	}
	name := func(value ast.Expr) bool {
		rule, ok := value.(*ast.BasicLit)
		if ok && rule.Kind == token.STRING {
			rules = append(rules, rule)
		}
		return ok
	}
	take := func(literal *ast.CompositeLit) {
		for _, element := range literal.Elts {
			if field, ok := element.(*ast.KeyValueExpr); ok {
				if key, ok := field.Key.(*ast.Ident); ok && key.Name == "Rule" && name(field.Value) {
					return
				}
			}
		}
		without = append(without, literal)
	}
	ast.Inspect(function, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.CompositeLit:
			if isFinding(node.Type) {
				take(node)
			}
			if list, ok := node.Type.(*ast.ArrayType); ok && isFinding(list.Elt) {
				for _, element := range node.Elts {
					if literal, ok := element.(*ast.CompositeLit); ok && literal.Type == nil {
						take(literal)
					}
				}
			}
		case *ast.AssignStmt:
			for i, to := range node.Lhs {
				field, isField := to.(*ast.SelectorExpr)
				plain, isPlain := to.(*ast.Ident)
				if len(node.Rhs) == len(node.Lhs) && (isField && field.Sel.Name == "Rule" || isPlain && plain.Name == "rule") {
					assigned = name(node.Rhs[i]) || assigned
				}
			}
		}
		return true
	})
	if assigned {
		without = nil
	}
	return without, rules
}
