package main

import (
	"flag"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var (
	update = flag.Bool("update", false, "rewrite golden files")
	full   = flag.Bool("full", false, "kill the workspace command 50 times and let a thousand order at once, not a sample")
)

// The scripts run this very program, as a command of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"presshand": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", UpdateScripts: *update, RequireExplicitExec: true})
}
