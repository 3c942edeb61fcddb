package publish_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"earframe/publish"
)

// The same results go to whatever place they are given.
func Example() {
	results := func(to publish.Place) {
		ctx := context.Background()
		defer to.Discard()
		for _, name := range []string{"units/helix.txt", "readme.txt"} {
			if err := publish.WriteBytes(ctx, to, name, []byte("about "+name)); err != nil {
				panic(err)
			}
		}
		files, err := to.Conclude(ctx, &publish.Record{
			Name: "record.json", Makes: []string{"units/*.txt", "readme.txt"},
			Content: func(files []publish.File) ([]byte, error) {
				return json.Marshal(map[string]any{"files": files})
			},
		})
		if err != nil {
			panic(err)
		}
		for _, f := range files {
			fmt.Printf("%s, %d bytes, %.8s…\n", f.Name, f.Bytes, f.SHA256)
		}
	}

	memory := new(publish.Memory)
	results(memory)
	fmt.Printf("memory: %s\n", memory.Contents()["readme.txt"])

	var archive bytes.Buffer
	results(publish.NewZip(&archive))
	entries, err := zip.NewReader(bytes.NewReader(archive.Bytes()), int64(archive.Len()))
	if err != nil {
		panic(err)
	}
	for _, entry := range entries.File {
		fmt.Println("zip:", entry.Name)
	}

	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	folder, err := publish.NewFolder(dir)
	if err != nil {
		panic(err)
	}
	results(folder)
	content, err := os.ReadFile(filepath.Join(dir, "units", "helix.txt"))
	if err != nil {
		panic(err)
	}
	fmt.Printf("folder: %s\n", content)
	// Output:
	// readme.txt, 16 bytes, d22c49f2…
	// units/helix.txt, 21 bytes, 1cbe7340…
	// memory: about readme.txt
	// readme.txt, 16 bytes, d22c49f2…
	// units/helix.txt, 21 bytes, 1cbe7340…
	// zip: readme.txt
	// zip: record.json
	// zip: units/helix.txt
	// readme.txt, 16 bytes, d22c49f2…
	// units/helix.txt, 21 bytes, 1cbe7340…
	// folder: about units/helix.txt
}
