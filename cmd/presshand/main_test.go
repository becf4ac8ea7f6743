package main

import (
	"context"
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite golden files")

// The scripts run this very program, as a command of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"presshand": func() {
			os.Exit(Run(context.Background(), os.Args[1:], os.Getenv, Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
		},
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", UpdateScripts: *update, RequireExplicitExec: true})
}
