package bot

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// notRead are the functions whose words no operator reads: errors for the log,
// names of files and of what is stored.
var notRead = []string{"Errorf", "New", "Error", "Warn", "Info", "Debug"}

// typed are words that operators type, not ours: a file of them, and single ones.
var (
	typed      = []string{"answers.go"}
	typedWords = []string{"worked him", "worked her", "yes worked", "only heard", "heard only", "not worked"}
)

// TestSentencesStandInOnePlace keeps whatever an operator reads in package say, so
// that it can be read through, and put into another language: in this package and
// its rooms no text of two words stands outside an error for the log.
func TestSentencesStandInOnePlace(t *testing.T) {
	var files []string
	for _, room := range []string{"", "exchange/", "ledger/", "meant/", "past/", "peers/", "setup/", "tx/", "watch/"} {
		some, err := filepath.Glob(room + "*.go")
		if err != nil || len(some) == 0 {
			t.Fatalf("no files in %q: %v", room, err)
		}
		files = append(files, some...)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || slices.Contains(typed, name) {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, sentence := range sentences(file) {
			t.Errorf("%s: %s belongs into package say", set.Position(sentence.Pos()), sentence.Value)
		}
	}
}

// sentences are the texts of two words and more in a file, but for errors,
// arguments of the log and tags of fields.
func sentences(file *ast.File) []*ast.BasicLit {
	var found []*ast.BasicLit
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Field:
			return n.Tag == nil
		case *ast.ImportSpec:
			return false
		case *ast.FuncDecl:
			return n.Name.Name != "Error"
		case *ast.CompositeLit:
			switch t := n.Type.(type) {
			case *ast.Ident:
				return t.Name != "UnfitError"
			case *ast.SelectorExpr:
				return t.Sel.Name != "UnfitError"
			}
		case *ast.CallExpr:
			if s, ok := n.Fun.(*ast.SelectorExpr); ok && slices.Contains(notRead, s.Sel.Name) {
				return false
			}
			if id, ok := n.Fun.(*ast.Ident); ok && id.Name == "panic" {
				return false
			}
		case *ast.BasicLit:
			if text, err := strconv.Unquote(n.Value); n.Kind == token.STRING && err == nil && isSentence(text) && !slices.Contains(typedWords, text) {
				found = append(found, n)
			}
		}
		return true
	})
	return found
}

// isSentence reports whether a text has two words of letters.
func isSentence(text string) bool {
	words := 0
	for word := range strings.FieldsSeq(text) {
		if letters := strings.Trim(word, ".,:;!?“”()%-"); len(letters) > 1 && strings.IndexFunc(letters, func(r rune) bool {
			return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && r != '\''
		}) < 0 {
			words++
		}
	}
	return words > 1
}
