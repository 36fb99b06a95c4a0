package bot

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"testing"

	"skyslate/bot/say"
)

// TestHelpNamesEveryCommand reads the commands out of the switch that routes them:
// each can be found from /help, and nothing stands there that is none.
func TestHelpNamesEveryCommand(t *testing.T) {
	routes, err := parser.ParseFile(token.NewFileSet(), "route.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	ast.Inspect(routes, func(n ast.Node) bool {
		if f, ok := n.(*ast.FuncDecl); ok && f.Name.Name != "command" {
			return false
		}
		if c, ok := n.(*ast.CaseClause); ok {
			for _, e := range c.List {
				if lit, ok := e.(*ast.BasicLit); ok {
					word, _ := strconv.Unquote(lit.Value)
					known[word] = true
				}
			}
		}
		return true
	})
	if len(known) < 20 {
		t.Fatalf("only %d commands found", len(known))
	}
	told := map[string]bool{"start": true} // who reads this has said it
	for _, m := range regexp.MustCompile(`/([a-z]+)`).FindAllStringSubmatch(say.Help+"\n"+say.HelpMore, -1) {
		told[m[1]] = true
		if !known[m[1]] {
			t.Errorf("/%s is in the help, and no command", m[1])
		}
	}
	for name := range known {
		if !told[name] {
			t.Errorf("/%s is not in the help", name)
		}
	}
}
