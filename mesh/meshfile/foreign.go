package meshfile

import (
	"bytes"
	"regexp"
)

// What a person may take for a mesh file that is read, told by how it begins.
var foreignFormats = []struct {
	begins *regexp.Regexp
	says   string
}{
	{regexp.MustCompile(`^%PDF-`), "a PDF document; a drawing is read as SVG"},
	{regexp.MustCompile(`^\x1f[^[:ascii:]]\x08`), "compressed with gzip, as SVGZ drawings are; unpack it first"},
	{regexp.MustCompile(`^ply\r?\n`), "a PLY mesh; " + exportAs},
	{regexp.MustCompile(`^(ST)?C?N?4?n?OFF[ \t\r\n]`), "an OFF mesh; " + exportAs},
	{regexp.MustCompile(`^\s*\{[\s\S]*"asset"`), "glTF as text; export it as GLB, its binary form"},
	{regexp.MustCompile(`^\s*<[\s\S]*<?svg\b`), "an SVG drawing, not a mesh; give it a name that ends in .svg"},
	{regexp.MustCompile(`^((#|o |g |s |mtllib |usemtl )[^\n]*\n|[ \t\r]*\n)*v[ \t]+[-+.\d]`), "an OBJ mesh; " + exportAs},
}

const exportAs = "export it as STL, 3MF or GLB, which are read"

// foreign says what the data is if it is a format that is known and not read.
func foreign(data []byte) string {
	const looked = 4096 // the first bytes say it
	head := bytes.TrimPrefix(data[:min(len(data), looked)], []byte(byteOrderMark))
	for _, f := range foreignFormats {
		if f.begins.Match(head) {
			return f.says
		}
	}
	return ""
}

const byteOrderMark = "\xef\xbb\xbf"

// isText reports whether the data begins as text does. Binary STL of a size that
// is read has a zero in its count of triangles.
func isText(data []byte) bool {
	return bytes.IndexByte(data[:min(len(data), stlHeadBytes)], 0) < 0
}
