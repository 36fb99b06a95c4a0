package main

import (
	"cmp"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// allowed says who may import whom. ours are packages of this module, other is
// what else may be imported beside the standard library. A package that is not
// listed fails the test: a new one gets a line here and a reason in
// DEVELOPERS.md.
var allowed = map[string]struct{ ours, other []string }{
	"parse":                   {[]string{"parse/clock", "parse/fold", "parse/series", "parse/slip"}, nil},
	"parse/clock":             {nil, nil},
	"parse/slip":              {nil, nil},
	"parse/fold":              {nil, []string{"golang.org/x/text/unicode/norm"}},
	"parse/series":            {nil, nil},
	"parse/memo":              {[]string{"parse"}, nil},
	"parse/adif":              {nil, []string{"golang.org/x/text/unicode/norm"}},
	"predict":                 {nil, []string{"github.com/joshuaferrara/go-satellite"}},
	"predict/predicttest":     {[]string{"predict"}, nil},
	"storage/block":           {nil, []string{"github.com/golang/snappy", "go.etcd.io/bbolt"}},
	"storage/fault":           {[]string{"storage/block"}, nil},
	"storage/keys":            {nil, nil},
	"storage/table":           {[]string{"storage/block", "storage/fault", "storage/keys"}, []string{"go.etcd.io/bbolt"}},
	"storage/table/tabletest": {[]string{"storage/table"}, []string{"go.etcd.io/bbolt"}},
	"storage/index":           {[]string{"storage/keys", "storage/table"}, nil},
	"storage/changes":         {nil, nil},
	"storage/pages":           {nil, nil},
	"storage/salvage":         {[]string{"storage/block", "storage/pages"}, nil},
	"storage/disk":            {nil, nil},
	"storage/backups":         {[]string{"storage/disk", "storage/salvage", "storage/schema", "storage/table"}, nil},
	"storage/database": {
		[]string{"storage/block", "storage/disk", "storage/fault", "storage/keys", "storage/pages", "storage/table"},
		[]string{"go.etcd.io/bbolt"},
	},
	"storage/schema":    {[]string{"storage/block", "storage/database", "storage/fault", "storage/salvage", "storage/table"}, nil},
	"storage/passname":  {nil, nil},
	"storage/settings":  {[]string{"parse", "storage/passname"}, nil},
	"storage/documents": {[]string{"storage/disk"}, nil},
	"storage/journal":   {[]string{"storage/disk"}, nil},
	"storage/queue":     {nil, nil},
	"storage/names":     {[]string{"storage/block"}, nil},
	"storage/named":     {[]string{"parse/slip", "storage/keys", "storage/table"}, nil},
	"storage/phones":    {nil, nil},
	"storage": {
		[]string{
			"parse", "predict",
			"storage/backups", "storage/block", "storage/changes", "storage/database", "storage/disk", "storage/documents",
			"storage/fault", "storage/index", "storage/journal", "storage/keys", "storage/named", "storage/names", "storage/passname", "storage/queue", "storage/salvage", "storage/schema", "storage/settings", "storage/table",
		},
		nil,
	},
	"storage/storagetest": {[]string{"storage"}, nil},
	"storage/logbook":     {[]string{"parse", "parse/adif", "storage"}, nil},
	"bot": {
		[]string{
			"parse", "parse/memo", "predict", "storage", "storage/backups", "storage/logbook",
			"bot/contact", "bot/event", "bot/exchange", "bot/facts", "bot/filing", "bot/idiom", "bot/layout", "bot/ledger", "bot/lists", "bot/meant", "bot/outing", "bot/past", "bot/peers", "bot/question", "bot/report", "bot/phrase", "bot/say", "bot/say/joint", "bot/say/limits", "bot/say/settings", "bot/second", "bot/setup", "bot/shown", "bot/sky", "bot/sound", "bot/timing", "bot/tx", "bot/watch",
		},
		nil,
	},
	"bot/second": {
		[]string{"parse", "storage", "storage/phones", "bot/event", "bot/idiom", "bot/layout", "bot/lists", "bot/question", "bot/say", "bot/say/joint", "bot/shown", "bot/timing", "bot/tx"},
		nil,
	},
	"bot/agree":   {[]string{"parse", "parse/slip", "storage"}, nil},
	"bot/contact": {[]string{"parse", "parse/slip", "predict", "storage", "bot/filing", "bot/idiom", "bot/lists", "bot/timing"}, nil},
	"bot/filing":  {[]string{"parse", "predict", "storage", "storage/phones", "bot/idiom", "bot/lineage", "bot/lists", "bot/oneself", "bot/question", "bot/timing"}, nil},
	"bot/lineage": {nil, nil},
	"bot/ledger": {
		[]string{"parse/memo", "storage", "bot/contact", "bot/event", "bot/facts", "bot/filing", "bot/lists", "bot/phrase", "bot/say", "bot/say/settings", "bot/shown", "bot/timing", "bot/tx", "bot/watch"},
		nil,
	},
	"bot/meant": {
		[]string{"parse", "storage", "bot/contact", "bot/exchange", "bot/filing", "bot/idiom", "bot/ledger", "bot/lists", "bot/past", "bot/say", "bot/shown", "bot/timing", "bot/tx", "bot/watch"},
		nil,
	},
	"bot/facts": {
		[]string{"parse", "predict", "storage", "bot/filing", "bot/lists", "bot/say", "bot/shown", "bot/sky", "bot/timing", "bot/tx"},
		nil,
	},
	"bot/timing":       {[]string{"parse", "storage", "bot/idiom"}, nil},
	"bot/idiom":        {[]string{"parse", "parse/slip"}, []string{"golang.org/x/text/unicode/norm"}},
	"bot/question":     {[]string{"parse/slip", "bot/glossary", "bot/idiom"}, []string{"golang.org/x/text/unicode/norm"}},
	"bot/oneself":      {[]string{"parse", "parse/slip", "bot/idiom", "bot/question"}, []string{"golang.org/x/text/unicode/norm"}},
	"bot/glossary":     {nil, nil},
	"bot/say":          {[]string{"parse", "predict", "bot/along", "bot/dial", "bot/glossary", "bot/layout", "bot/lists", "bot/phrase"}, nil},
	"bot/say/joint":    {[]string{"parse", "bot/layout", "bot/phrase"}, nil},
	"bot/say/limits":   {[]string{"parse", "bot/layout", "bot/phrase"}, nil},
	"bot/say/settings": {[]string{"parse", "predict", "bot/layout", "bot/phrase", "bot/say"}, nil},
	"bot/phrase":       {[]string{"parse", "predict", "bot/layout"}, nil},
	"bot/say/saytest":  {[]string{"bot/layout"}, nil},
	"bot/along":        {[]string{"predict"}, nil},
	"bot/dial":         {[]string{"predict", "bot/along"}, nil},
	"bot/layout":       {nil, nil},
	"bot/lists":        {nil, nil},
	"bot/past": {
		[]string{"parse", "parse/slip", "storage", "storage/logbook", "bot/filing", "bot/lists", "bot/phrase", "bot/say", "bot/shown", "bot/timing", "bot/tx"},
		nil,
	},
	"bot/peers": {[]string{"parse", "storage", "bot/agree", "bot/idiom", "bot/lists", "bot/say", "bot/shown", "bot/timing", "bot/tx"}, nil},
	"bot/report": {
		[]string{"parse", "storage", "storage/logbook", "bot/exchange", "bot/filing", "bot/idiom", "bot/layout", "bot/lists", "bot/past", "bot/peers", "bot/phrase", "bot/say", "bot/say/limits", "bot/shown", "bot/tx"},
		nil,
	},
	"bot/setup": {
		[]string{
			"parse", "parse/slip", "predict", "storage",
			"bot/event", "bot/oneself", "bot/question", "bot/phrase", "bot/say", "bot/say/settings", "bot/shown", "bot/sky", "bot/tx", "bot/watch", "bot/week",
		},
		nil,
	},
	"bot/sky":     {[]string{"parse", "predict", "storage"}, nil},
	"bot/dossier": {[]string{"parse", "storage", "bot/sky"}, nil},
	"bot/event":   {[]string{"storage"}, nil},
	"bot/shown":   {[]string{"predict", "storage", "bot/phrase", "bot/say", "bot/say/settings", "bot/sky", "bot/zone"}, nil},
	"bot/exchange": {
		[]string{
			"parse", "parse/adif", "predict", "storage", "storage/logbook",
			"bot/calendar", "bot/draw", "bot/event", "bot/filing", "bot/idiom", "bot/layout", "bot/lists", "bot/outing", "bot/peers", "bot/phrase", "bot/say", "bot/say/limits", "bot/shown", "bot/sky", "bot/sound", "bot/timing", "bot/tx", "bot/watch",
		},
		nil,
	},
	"bot/watch": {
		[]string{
			"parse", "predict", "storage", "storage/logbook",
			"bot/choice", "bot/draw", "bot/event", "bot/filing", "bot/idiom", "bot/layout", "bot/lists", "bot/named", "bot/outing", "bot/past", "bot/question", "bot/phrase", "bot/say", "bot/say/limits", "bot/shown", "bot/sky", "bot/sound", "bot/timing", "bot/tx",
		},
		nil,
	},
	"bot/outing":   {[]string{"parse", "storage", "bot/idiom", "bot/phrase", "bot/question", "bot/say", "bot/shown", "bot/sky", "bot/tx"}, nil},
	"bot/named":    {[]string{"parse", "storage", "bot/choice", "bot/idiom", "bot/shown", "bot/sky", "bot/timing"}, nil},
	"bot/choice":   {[]string{"predict", "storage", "bot/sky"}, nil},
	"bot/sound":    {[]string{"predict", "storage", "bot/choice", "bot/say"}, nil},
	"bot/week":     {[]string{"storage", "bot/say", "bot/say/settings", "bot/tx"}, nil},
	"bot/tx":       {[]string{"parse", "predict", "storage", "bot/event", "bot/filing", "bot/layout", "bot/lists", "bot/say", "bot/say/limits", "bot/say/settings", "bot/shown", "bot/sky", "bot/timing"}, nil},
	"bot/calendar": {nil, []string{"github.com/arran4/golang-ical"}},
	"bot/draw":     {[]string{"parse", "predict"}, []string{"git.sr.ht/~sbinet/gg", "golang.org/x/image"}},
	"bot/beat":     {nil, []string{"github.com/robfig/cron/v3"}},
	"bot/logtest":  {nil, nil},
	"bot/guests":   {[]string{"bot", "bot/beat", "bot/second", "storage"}, nil},
	"bot/run":      {[]string{"bot", "bot/beat", "storage"}, nil},
	"bot/zone": {
		nil,
		[]string{"github.com/ringsaturn/tzf", "github.com/ringsaturn/tzf-rel-lite", "google.golang.org/protobuf/proto"},
	},
	"bot/apps":      {[]string{"bot", "bot/event", "bot/run", "storage"}, nil},
	"bot/rehearsal": {[]string{"bot", "bot/zone", "parse", "predict", "storage"}, nil},
	"bot/terminal":  {[]string{"bot", "bot/event", "bot/run", "storage"}, []string{"golang.org/x/term"}},
	"bot/supply":    {[]string{"bot/beat", "predict"}, nil},
	"bot/fetch":     {[]string{"bot", "bot/beat", "bot/event", "bot/guests", "storage"}, nil},
	"bot/piece":     {[]string{"storage"}, nil},
	"bot/telegram": {
		[]string{"bot", "bot/beat", "bot/event", "bot/fetch", "bot/guests", "bot/piece", "bot/run", "storage"},
		[]string{"github.com/go-telegram/bot"},
	},
	"bot/matrix": {
		[]string{"bot", "bot/beat", "bot/event", "bot/fetch", "bot/guests", "bot/piece", "bot/run", "storage"},
		[]string{"maunium.net/go/mautrix"},
	},
	"bot/matrix/servertest":        {nil, nil},
	"bot/telegram/apitest":         {nil, nil},
	"bot/telegram/apitest/console": {[]string{"bot/telegram/apitest"}, nil},
	"cmd/skyslate": {
		[]string{
			"bot", "bot/apps", "bot/beat", "bot/dossier", "bot/guests", "bot/matrix", "bot/rehearsal", "bot/run", "bot/sky", "bot/supply", "bot/telegram", "bot/terminal", "bot/zone",
			"parse", "parse/adif", "predict", "storage", "storage/logbook",
		},
		nil,
	},
}

// forTests are the modules that only tests may import.
var forTests = []string{
	"github.com/go-telegram/bot", "go.etcd.io/bbolt",
	"github.com/creack/pty", "github.com/google/go-cmp", "github.com/rogpeppe/go-internal", "pgregory.net/rapid",
}

// ownForTests are the packages of ours that any test may use beside its own, by
// how their names begin.
var ownForTests = []string{"predict", "storage", "parse", "bot/event", "bot/layout", "bot/logtest", "bot/rehearsal", "bot/say/saytest", "bot/sky", "bot/telegram/apitest", "bot/matrix/servertest"}

const module = "skyslate/"

// Contacts are derived by a pure function: of the store it knows the values alone,
// and no clock; nor does what it asks of times.
func TestContactsAreDerivedPurely(t *testing.T) {
	impure := map[string][]string{
		"storage": {"Open", "OpenToRead", "Store", "View", "Changes", "Verify"},
		"time":    {"Now", "Since", "Until", "Sleep", "After", "NewTimer", "NewTicker", "AfterFunc"},
	}
	var files []string
	for _, room := range []string{"contact", "filing", "timing"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "bot", room, "*.go"))
		if err != nil || len(found) == 0 {
			t.Fatalf("%s: %d files, %v", room, len(found), err)
		}
		files = append(files, found...)
	}
	for _, path := range files {
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if of, ok := sel.X.(*ast.Ident); ok && slices.Contains(impure[of.Name], sel.Sel.Name) {
					t.Errorf("%s uses %s.%s", path, of.Name, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

func TestWhoImportsWhom(t *testing.T) {
	root := filepath.Join("..", "..")
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && path != root || d.Name() == "testdata") && path != root {
			return filepath.SkipDir
		}
		if d.IsDir() || filepath.Ext(path) != ".go" {
			return nil
		}
		dir, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := filepath.ToSlash(dir)
		seen[pkg] = true
		checkImports(t, pkg, path)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for pkg := range allowed {
		if !seen[pkg] {
			t.Errorf("%s is in the table, but there is no such package", pkg)
		}
	}
}

func checkImports(t *testing.T, pkg, path string) {
	t.Helper()
	rule, ok := allowed[pkg]
	if !ok {
		t.Errorf("%s: package %s is not in the table of who imports whom", path, pkg)
		return
	}
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	test := strings.HasSuffix(path, "_test.go")
	for _, spec := range file.Imports {
		name, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		if !mayImport(rule.ours, rule.other, pkg, name, test) {
			t.Errorf("%s: package %s may not import %s", path, pkg, name)
		}
	}
}

// mostLines is how long a package may be, without its tests; longer are those that may be
// longer, or still are: what is above mostLines for no reason may only fall.
const mostLines = 3500

var longer = map[string]int{
	"parse":   6000, // one grammar: a reading weighs all that a line could be at once
	"storage": 4500, // the records and the one transaction that all of them change in
}

// What else is bounded: a file that is longer is two, a type with more methods several.
const (
	mostFileLines = 500
	mostMethods   = 60
)

func TestRoomsAreSmall(t *testing.T) {
	root := filepath.Join("..", "..")
	for pkg := range allowed {
		files, err := filepath.Glob(filepath.Join(root, pkg, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		total, methods := 0, map[string]int{}
		for _, path := range files {
			src, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			n := strings.Count(string(src), "\n")
			if n > mostFileLines {
				t.Errorf("%s has %d lines: at most %d", path, n, mostFileLines)
			}
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			total += n
			countMethods(t, path, src, methods)
		}
		if most := cmp.Or(longer[pkg], mostLines); total > most {
			t.Errorf("package %s has %d lines: at most %d", pkg, total, most)
		}
		for name, n := range methods {
			if n > mostMethods {
				t.Errorf("%s.%s has %d methods: at most %d", pkg, name, n, mostMethods)
			}
		}
	}
}

// countMethods adds the methods in a file to those of their types.
func countMethods(t *testing.T, path string, src []byte, methods map[string]int) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, src, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || f.Recv == nil {
			continue
		}
		of := f.Recv.List[0].Type
		if star, ok := of.(*ast.StarExpr); ok {
			of = star.X
		}
		if generic, ok := of.(*ast.IndexExpr); ok {
			of = generic.X
		}
		if name, ok := of.(*ast.Ident); ok {
			methods[name.Name]++
		}
	}
}

func mayImport(ours, other []string, pkg, name string, test bool) bool {
	if own, is := strings.CutPrefix(name, module); is {
		return slices.Contains(ours, own) || test && (own == pkg || slices.ContainsFunc(ownForTests, func(p string) bool {
			return strings.HasPrefix(own, p)
		}))
	}
	if !strings.Contains(strings.SplitN(name, "/", 2)[0], ".") {
		return true // the standard library
	}
	under := func(m string) bool { return name == m || strings.HasPrefix(name, m+"/") }
	return slices.ContainsFunc(other, under) || test && slices.ContainsFunc(forTests, under)
}
