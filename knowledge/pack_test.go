package knowledge

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestPack holds the packed base to the YAML: same bytes as packing it now,
// and the same entries when unpacked.
func TestPack(t *testing.T) {
	base, problems := loadBuiltin()
	if len(problems) > 0 {
		t.Skipf("the built-in files have %d problems; TestBuiltin shows them", len(problems))
	}
	mark, err := fingerprint(builtin)
	if err != nil {
		t.Fatal(err)
	}
	want := pack(base, mark)
	if *update {
		if err := os.WriteFile("base.pack", want, 0o644); err != nil {
			t.Fatal(err)
		}
		packed = string(want)
	}
	if !bytes.Equal([]byte(packed), want) {
		t.Error("base.pack is older than the YAML files: run go generate ./knowledge")
	}
	got, err := unpack(string(want), mark)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(base, got); diff != "" {
		t.Error(diff)
	}
}

func TestPackStale(t *testing.T) {
	base, problems := load([]fs.FS{os.DirFS("testdata/ok")}, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	whole := pack(base, "one\n")
	if _, err := unpack(string(whole), "two\n"); err == nil {
		t.Error("a pack with another fingerprint was taken")
	}
	for n := 0; n < len(whole)-1; n += 1 + n/50 { // every one of the first, then fewer
		if _, err := unpack(string(whole[:n]), "one\n"); err == nil {
			t.Fatalf("a pack cut off after %d of %d bytes was taken", n, len(whole))
		}
	}
	got, err := unpack(string(whole), "one\n")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(base, got); diff != "" {
		t.Error(diff)
	}
}

func BenchmarkLoad(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(Builtin()); err != nil {
			b.Skip("the built-in files have problems")
		}
	}
}

// What unpacking alone costs, on the small base of testdata.
func BenchmarkUnpack(b *testing.B) {
	base, problems := load([]fs.FS{os.DirFS("testdata/ok")}, nil)
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	data := string(pack(base, "x\n"))
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := unpack(data, "x\n"); err != nil {
			b.Fatal(err)
		}
	}
}
