package meshfile

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"slices"
	"strings"
)

// The library that decodes a model knows no comments, CDATA sections and document
// types, which the Core Specification 1.4.0 lets a model hold or XML 1.0 does, and
// takes any required extension for one that it knows.

// threemfHarmless are extensions that leave a mesh's shape as the core says: a file
// that requires them is read. Meshes in further model parts, which production
// allows, are refused where they are asked for.
var threemfHarmless = []string{
	"http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
	"http://schemas.microsoft.com/3dmanufacturing/production/2015/06",
	"http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
}

// checkExtensions refuses a model that cannot be understood without an extension
// that is not read (Core Specification 1.4.0, 2.3: a consumer must fail then).
func checkExtensions(content []byte) error {
	decoder := xml.NewDecoder(bytes.NewReader(content))
	for {
		token, err := decoder.RawToken()
		if err != nil {
			return err
		}
		root, is := token.(xml.StartElement)
		if !is {
			continue
		}
		namespaces, required := map[string]string{}, []string{}
		for _, a := range root.Attr {
			switch {
			case a.Name.Space == "xmlns":
				namespaces[a.Name.Local] = a.Value
			case a.Name.Space == "" && a.Name.Local == "requiredextensions":
				required = strings.Fields(a.Value)
			}
		}
		for _, prefix := range required {
			if namespace := namespaces[prefix]; !slices.Contains(threemfHarmless, namespace) {
				return fmt.Errorf("the model requires the extension %q (%q), which is not read; export it without",
					prefix, namespace)
			}
		}
		return nil
	}
}

// plainXML returns the content without comments, instructions and document type,
// and with CDATA sections as escaped text. Content without any of them is returned
// as it is.
func plainXML(content []byte) ([]byte, error) {
	var out []byte
	kept := 0 // up to here content is in out
	for at := 0; at < len(content); {
		next := bytes.IndexByte(content[at:], '<')
		if next < 0 {
			break
		}
		at += next
		rest := content[at:]
		length, text := 0, ""
		switch {
		case bytes.HasPrefix(rest, []byte("<!--")):
			length = lengthTo(rest, len("<!--"), "-->")
		case bytes.HasPrefix(rest, []byte("<![CDATA[")):
			if length = lengthTo(rest, len("<![CDATA["), "]]>"); length > 0 {
				text = escaped(string(rest[len("<![CDATA[") : length-len("]]>")]))
			}
		case bytes.HasPrefix(rest, []byte("<?")) && at > 0: // the one at the start says that this is XML
			length = lengthTo(rest, len("<?"), "?>")
		case bytes.HasPrefix(rest, []byte("<!")):
			length = declarationLength(rest)
		default:
			at++
			continue
		}
		if length < 0 {
			return nil, fmt.Errorf("what begins with %q has no end", rest[:min(len(rest), 20)])
		}
		out = append(append(out, content[kept:at]...), text...)
		at += length
		kept = at
	}
	if kept == 0 {
		return content, nil
	}
	return append(out, content[kept:]...), nil
}

// lengthTo returns the length up to the end of the first end mark after so many
// bytes, -1 where there is none.
func lengthTo(content []byte, after int, end string) int {
	at := bytes.Index(content[after:], []byte(end))
	if at < 0 {
		return -1
	}
	return after + at + len(end)
}

// declarationLength returns how long the declaration at the start is, with the
// declarations and comments within its brackets; -1 where it has no end. What an
// entity declared there stands for is not known afterwards, so that using one is
// an error: none can grow.
func declarationLength(content []byte) int {
	depth := 0
	for at := 0; at < len(content); at++ {
		switch c := content[at]; c {
		case '<':
			if bytes.HasPrefix(content[at:], []byte("<!--")) {
				length := lengthTo(content[at:], len("<!--"), "-->")
				if length < 0 {
					return -1
				}
				at += length - 1
				continue
			}
			depth++
		case '"', '\'':
			end := bytes.IndexByte(content[at+1:], c)
			if end < 0 {
				return -1
			}
			at += end + 1
		case '>':
			if depth--; depth == 0 {
				return at + 1
			}
		}
	}
	return -1
}
