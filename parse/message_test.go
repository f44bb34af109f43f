package parse

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every note says what is wrong, and what was read instead or what to do: two parts with a semicolon between. The
// test looks at the messages in the source, so that none is missed for want of a program that leads to it.
func TestMessagesHaveTwoParts(t *testing.T) {
	set := token.NewFileSet()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	says := map[string]bool{"unread": true, "lenient": true, "reading": true, "refuse": true, "fail": true}
	found := 0
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			name := ""
			switch f := call.Fun.(type) {
			case *ast.SelectorExpr:
				name = f.Sel.Name
			case *ast.Ident:
				name = f.Name
			}
			if !says[name] {
				return true
			}
			text := ""
			for _, a := range call.Args {
				ast.Inspect(a, func(n ast.Node) bool {
					if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
						s, _ := strconv.Unquote(lit.Value)
						text += s
					}
					return true
				})
			}
			if text == "" || text == "%s" { // passed on from elsewhere
				return true
			}
			found++
			what, do, ok := strings.Cut(text, "; ")
			if !ok || what == "" || do == "" || strings.HasSuffix(do, ".") {
				t.Errorf("%v: message %q", set.Position(call.Pos()), text)
			}
			return true
		})
	}
	if found < 150 {
		t.Errorf("only %d messages found", found)
	}
}
