package sheet_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"earframe/practice/sheet"
	"earframe/units"
	"earframe/units/demo"
)

func ExampleCarving() {
	folder, err := os.MkdirTemp("", "sheets")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)
	path, err := demo.Good.Write(folder)
	if err != nil {
		log.Fatal(err)
	}
	plan, err := units.Load(context.Background(), path)
	if err != nil {
		log.Fatal(err)
	}
	document, err := sheet.Carving(sheet.Input{Plan: plan})
	if err != nil {
		log.Fatal(err)
	}
	file, err := os.Create(filepath.Join(folder, "carving.pdf"))
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()
	if err := document.WritePDF(file); err != nil {
		log.Fatal(err)
	}
	for _, page := range document.Pages {
		fmt.Println(page.Title)
	}
	// Output: Carving sheet: units
}
