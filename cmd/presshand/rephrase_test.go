package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"presshand/bot/bottest/model"
)

// runWith runs a command line with a model server set up.
func runWith(t *testing.T, server *model.Server, in string, args ...string) string {
	t.Helper()
	getenv := func(name string) string {
		return map[string]string{"PRESSHAND_MODEL_URL": server.URL, "PRESSHAND_MODEL": "small", "PRESSHAND_MODEL_KEY": "key"}[name]
	}
	file := filepath.Join(t.TempDir(), "in")
	if err := os.WriteFile(file, []byte(in), 0o600); err != nil {
		t.Fatal(err)
	}
	input, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer input.Close()
	var out, faults bytes.Buffer
	if status := Run(context.Background(), args, getenv, Streams{In: input, Out: &out, Err: &faults}); status != exitDone {
		t.Fatalf("%q: status %d: %s", args, status, faults.String())
	}
	return out.String()
}

func replacing(a, b string) model.Manner {
	return model.Say(func(s string) string { return strings.Replace(s, a, b, 1) })
}

func TestAskRephrased(t *testing.T) {
	server := model.Start()
	defer server.Close()
	server.Behave(replacing("Leave it", "Let it sit"))
	if out := runWith(t, server, "", "ask", "--rephrase", "how long cool peel"); !strings.HasPrefix(out, "Let it sit about 10 min, until the sheet feels cold; then peel.\n") {
		t.Errorf("reworded: %s", out)
	}
	if out := runWith(t, server, "", "ask", "--rephrase", "--json", "how long cool peel"); !strings.Contains(out, `"rephrase":{"used":true,"refused":""}`) {
		t.Errorf("reworded, as JSON: %s", out)
	}
	asked := len(server.Bodies())
	if out := runWith(t, server, "", "ask", "--json", "how long cool peel"); strings.Contains(out, `"rephrase"`) || !strings.Contains(out, "Leave it about 10 min") || len(server.Bodies()) != asked {
		t.Errorf("off by default: %s", out)
	}
	server.Behave(replacing("until", "or until"))
	if out := runWith(t, server, "", "ask", "--rephrase", "--json", "how long cool peel"); !strings.Contains(out, `"rephrase":{"used":false,"refused":"word"}`) || !strings.Contains(out, "Leave it about 10 min, until the sheet feels cold; then peel.") {
		t.Errorf("refused: %s", out)
	}
	server.Behave(replacing("Espera", "Aguarda"))
	if out := runWith(t, server, "responde en español\nhow long cool peel\n", "chat", "--rephrase"); !strings.Contains(out, "\nAguarda unos 10 min, hasta que la hoja se sienta fría; después despega.\n") {
		t.Errorf("reworded in Spanish: %s", out)
	}
}

// Names of customers and waits are told, and never sent.
func TestNamesStayHere(t *testing.T) {
	server := model.Start()
	defer server.Close()
	server.Behave(model.Say(func(s string) string { return s }))
	talk := strings.Join([]string{
		"24 black cotton tees, 9x7 front, for the Secretname choir, ref SECRET-7, need it Friday", "promise order 1", "start order 1",
		"start a 10 min wait for order 1", "how long left", "start a 5 min wait for Ms Secretname", "how long left", "how long left for Ms Secretname",
		"give it 5 minutes more for order 1", "stop the wait for order 1", "how long left", "status of order 1", "board", "say that again",
		"how long cool peel for the Secretname choir", "which method for the Secretname choir", "what temp for order 1", "steps for order 1", "next step for order 1",
	}, "\n") + "\n"
	out := runWith(t, server, talk, "chat", "--rephrase", "--data", t.TempDir())
	for _, name := range []string{"wait for order 1, Secretname choir started", "Ms Secretname: 5 min left"} {
		if !strings.Contains(out, name) {
			t.Errorf("%q is not told, so this proves nothing:\n%s", name, out)
		}
	}
	if len(server.Bodies()) == 0 {
		t.Error("nothing was sent at all, so this proves nothing")
	}
	for _, body := range server.Bodies() {
		if strings.Contains(strings.ToLower(body), "secret") {
			t.Errorf("sent: %s", body)
		}
	}
}
