package meshfile

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/flate"
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"strconv"
	"strings"
	"time"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// 3MF as its Core Specification 1.4.0 says: a zip package of XML with a unit,
// names, materials and shared vertices. The library that reads it
// (threemf_read.go) could write it too, but at four digits or with a random id
// and the time in it, and for a large framework in seconds: what is written here
// is read by a program that is not of the same hand.

const (
	threemfTypesPart     = "[Content_Types].xml"
	threemfRelationships = "_rels/.rels"
	threemfModelPart     = "3D/3dmodel.model"

	threemfContentTypes = xml.Header + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>` +
		"</Types>\n"

	threemfRootRelationship = xml.Header +
		`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Id="model" Target="/` + threemfModelPart + `" ` +
		`Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>` +
		"</Relationships>\n"

	threemfNamespace = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"

	// threemfMaterials is the id of the group of materials; objects follow.
	threemfMaterials = 1

	// threemfCompression: level 4 packs the XML of a mesh nearly as small as
	// the default, 6, in a third of the time.
	threemfCompression = 4
)

// Write3MF writes the document as 3MF in millimetres: an object and a base
// material for each mesh, all of them in the build, moved by their offset
// (rounded to 0.001 mm). The same document gives the same bytes each time. It is
// an error if a coordinate is not held exactly by single precision.
func Write3MF(w io.Writer, document Document) error {
	if len(document.Objects) == 0 {
		return fmt.Errorf("3MF: no objects to write")
	}
	for _, object := range document.Objects {
		if err := checkStorable(object.Name, object.Mesh); err != nil {
			return fmt.Errorf("3MF: %w", err)
		}
	}
	zipEpoch := time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC) // the earliest a zip holds
	archive := zip.NewWriter(w)
	archive.RegisterCompressor(zip.Deflate, func(out io.Writer) (io.WriteCloser, error) {
		return flate.NewWriter(out, threemfCompression)
	})
	for _, part := range []struct {
		name  string
		write func(*bufio.Writer)
	}{
		{threemfTypesPart, func(out *bufio.Writer) { out.WriteString(threemfContentTypes) }},
		{threemfRelationships, func(out *bufio.Writer) { out.WriteString(threemfRootRelationship) }},
		{threemfModelPart, func(out *bufio.Writer) { writeModel(out, document) }},
	} {
		entry, err := archive.CreateHeader(&zip.FileHeader{Name: part.name, Method: zip.Deflate, Modified: zipEpoch})
		if err != nil {
			return err
		}
		out := bufio.NewWriterSize(entry, 1<<16)
		part.write(out)
		if err := out.Flush(); err != nil { // the first error of all writes
			return err
		}
	}
	return archive.Close()
}

func writeModel(out *bufio.Writer, document Document) {
	fmt.Fprintf(out, `%s<model unit="millimeter" xml:lang="en-US" xmlns="%s">`+"\n", xml.Header, threemfNamespace)
	for _, entry := range [][2]string{
		{"Title", document.Title}, {"Description", document.Description}, {"Application", Application},
	} {
		if entry[1] != "" {
			fmt.Fprintf(out, `<metadata name="%s">%s</metadata>`+"\n", entry[0], escaped(entry[1]))
		}
	}
	fmt.Fprintf(out, `<resources>`+"\n"+`<basematerials id="%d">`, threemfMaterials)
	for _, object := range document.Objects {
		fmt.Fprintf(out, `<base name="%s" displaycolor="%s"/>`, escaped(object.title()), hexColor(object.paint()))
	}
	out.WriteString("</basematerials>\n")
	for i, object := range document.Objects {
		fmt.Fprintf(out, `<object id="%d" type="model" name="%s" pid="%d" pindex="%d">`+"\n",
			threemfMaterials+1+i, escaped(object.Name), threemfMaterials, i)
		writeModelMesh(out, object.Mesh)
		out.WriteString("</object>\n")
	}
	out.WriteString("</resources>\n<build>\n")
	for i, object := range document.Objects {
		move := ""
		if o := object.Offset; o != (mgl64.Vec3{}) {
			move = fmt.Sprintf(` transform="1 0 0 0 1 0 0 0 1 %.3f %.3f %.3f"`, o[0], o[1], o[2])
		}
		fmt.Fprintf(out, `<item objectid="%d"%s/>`+"\n", threemfMaterials+1+i, move)
	}
	out.WriteString("</build>\n</model>\n")
}

// writeModelMesh writes coordinates with as many digits as tell the single
// precision number from any other.
func writeModelMesh(out *bufio.Writer, m *mesh.Mesh) {
	line := make([]byte, 0, 200)
	out.WriteString("<mesh>\n<vertices>\n")
	for _, p := range m.Vertices {
		line = append(line[:0], "<vertex"...)
		for k, x := range stlPoint(p) {
			line = append(line, ' ', 'x'+byte(k), '=', '"')
			line = strconv.AppendFloat(line, float64(x), 'f', -1, 32)
			line = append(line, '"')
		}
		line = append(line, "/>\n"...)
		out.Write(line)
	}
	out.WriteString("</vertices>\n<triangles>\n")
	for _, t := range m.Triangles {
		line = append(line[:0], "<triangle"...)
		for k, v := range t {
			line = append(line, ' ', 'v', '1'+byte(k), '=', '"')
			line = strconv.AppendInt(line, int64(v), 10)
			line = append(line, '"')
		}
		line = append(line, "/>\n"...)
		out.Write(line)
	}
	out.WriteString("</triangles>\n</mesh>\n")
}

// escaped returns text as it stands in XML, without what XML cannot hold. Of
// quotes and line ends it writes what every reader knows: some do not know
// numbered characters.
func escaped(text string) string {
	var out bytes.Buffer
	_ = xml.EscapeText(&out, []byte(text)) // a buffer takes everything
	return plainCharacters.Replace(out.String())
}

var plainCharacters = strings.NewReplacer("&#39;", "'", "&#34;", "&quot;", "&#x9;", " ", "&#xA;", " ", "&#xD;", " ")

func hexColor(c color.RGBA) string {
	if c.A == 255 {
		return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B)
	}
	return fmt.Sprintf("#%02X%02X%02X%02X", c.R, c.G, c.B, c.A)
}
