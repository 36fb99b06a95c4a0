// Package saytest holds the texts of package say and of its subpackages to what a phone
// shows. A package's tests walk its text functions, each with values as long as they get
// (Walk), and the sentences that never change (Constants).
package saytest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"skyslate/bot/layout"
)

// More is what a text ends with that is cut.
const More = "…"

// LongWord is as long a word as may be typed.
const LongWord = "wördwördwördwördwördwördwördwördwördwörd" +
	"wördwördwördwördwördwördwördwördwördwörd" +
	"wördwördwördwördwördwördwördwördwördwörd"

// Unstyled is a text as it is read.
func Unstyled(text string) string {
	read, _ := layout.Styled(text)
	return read
}

// WidthOf is how wide a line is, and may be.
func WidthOf(line string) (is, most int) {
	read, spans := layout.Styled(line)
	if len(spans) > 0 && spans[0].Style == layout.Table {
		return utf8.RuneCountInString(read), layout.TableColumns
	}
	return utf8.RuneCountInString(read), layout.Columns
}

// UnfitOnPhone reports what is wrong with a text on a phone, empty if nothing is.
func UnfitOnPhone(text string) string {
	lines := strings.Split(text, "\n")
	if len(lines) > layout.Lines {
		return "too many lines"
	}
	for _, line := range lines {
		if is, most := WidthOf(line); is > most {
			return "too wide: " + line
		}
	}
	return ""
}

// An Extreme is what one function says where everything that goes into it is as long, or
// as many, as it gets, and what must be found in it.
type Extreme struct {
	answers []string // each in as many messages as it takes
	posts   []string // edited where they stand: one message each
	must    []string
}

// Said is an Extreme of answers.
func Said(texts ...string) Extreme { return Extreme{answers: texts} }

// Edited is an Extreme of posts that are edited where they stand.
func Edited(texts ...string) Extreme { return Extreme{posts: texts} }

// With adds what must be found.
func (x Extreme) With(words ...string) Extreme {
	x.must = append(x.must, words...)
	return x
}

// Walk checks the extremes of the package under test, by the names of its text functions:
// there must be one of each but of those that make a part of another text.
func Walk(t *testing.T, all map[string]Extreme, parts ...string) {
	t.Helper()
	functions := textFunctions(t, parts...)
	for _, name := range functions {
		x, ok := all[name]
		if !ok {
			t.Errorf("%s is not walked", name)
			continue
		}
		t.Run(name, func(t *testing.T) { check(t, x) })
	}
	for name := range all {
		if !slices.Contains(functions, name) {
			t.Errorf("%s is walked, and no function", name)
		}
	}
}

// Constants holds the constant texts of the package under test to the size of a phone;
// there must be so many at least.
func Constants(t *testing.T, least int) {
	t.Helper()
	all := constants(t)
	for _, text := range all {
		if why := UnfitOnPhone(text); why != "" {
			t.Errorf("%s: %s", why, text)
		}
	}
	if len(all) < least {
		t.Errorf("only %d constants", len(all))
	}
}

// check fails unless answers fit on a phone, each in as many messages as it takes, and
// posts that are edited where they stand, each in one, and all that must be found stands in
// them.
func check(t *testing.T, x Extreme) {
	t.Helper()
	var seen []string
	for _, text := range x.answers {
		pages := layout.Pages(text)
		if strings.HasSuffix(pages[len(pages)-1], "\n"+More) {
			t.Errorf("cut after %d messages", len(pages))
		}
		seen = append(seen, pages...)
	}
	for _, text := range x.posts {
		whole := layout.Fit(text)
		if strings.HasSuffix(whole, "\n"+More) {
			t.Errorf("cut:\n%s", text)
		}
		seen = append(seen, whole)
	}
	for _, page := range seen {
		if why := UnfitOnPhone(page); why != "" {
			t.Errorf("%s in\n%s", why, page)
		}
		for _, wrong := range []string{"%!", "NaN", "  \n", "\n\n"} {
			if strings.Contains(page, wrong) {
				t.Errorf("%q in\n%s", wrong, page)
			}
		}
	}
	flat := strings.Join(strings.Fields(Unstyled(strings.Join(seen, "\n"))), " ")
	for _, word := range x.must {
		if !strings.Contains(flat, word) {
			t.Errorf("%q is lost in\n%s", word, strings.Join(seen, "\n---\n"))
		}
	}
	if len(seen) == 0 {
		t.Error("it says nothing")
	}
}

// textFunctions are the exported functions of the package under test that make a whole
// text or the caption of a file, rows of tables of texts among them, without those that
// make a part of another text, or a button's.
func textFunctions(t *testing.T, parts ...string) []string {
	t.Helper()
	var found []string
	add := func(name *ast.Ident) {
		if name.IsExported() && !strings.HasSuffix(name.Name, "Label") && !slices.Contains(parts, name.Name) {
			found = append(found, name.Name)
		}
	}
	for _, d := range declarations(t) {
		switch d := d.(type) {
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				if v, ok := spec.(*ast.ValueSpec); ok && d.Tok == token.VAR {
					add(v.Names[0])
				}
			}
		case *ast.FuncDecl:
			if d.Recv == nil && d.Type.Results != nil && len(d.Type.Results.List) == 1 && isText(d.Type.Results.List[0].Type) {
				add(d.Name)
			}
		}
	}
	return found
}

// isText reports whether a type is string or []string.
func isText(e ast.Expr) bool {
	if list, ok := e.(*ast.ArrayType); ok {
		e = list.Elt
	}
	name, ok := e.(*ast.Ident)
	return ok && name.Name == "string"
}

// constants are the constant texts of the package under test.
func constants(t *testing.T) (all []string) {
	t.Helper()
	for _, d := range declarations(t) {
		if g, ok := d.(*ast.GenDecl); !ok || g.Tok != token.CONST {
			continue
		}
		ast.Inspect(d, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				text, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				all = append(all, text)
			}
			return true
		})
	}
	return all
}

// declarations are those of the package under test, without its tests.
func declarations(t *testing.T) []ast.Decl {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var all []ast.Decl
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, parsed.Decls...)
	}
	return all
}
