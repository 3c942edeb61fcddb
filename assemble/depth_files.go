package assemble

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"
)

// DepthScale says how a depth map's pictures are read: a value v above 0 stands
// for (v - 1) · PerCount mm over the bed, 0 for no framework.
type DepthScale struct {
	PerCount float64
	PerPixel float64
	Columns  int
	Rows     int
	// Left and Top are the place of the middle of the first pixel, in the upper
	// left corner; x grows to the right, y upward.
	Left float64
	Top  float64
	Bed  float64 // in the units' coordinates
	Zero string  // what the value 0 means
}

// countsTried are the heights in mm that one count may stand for: the finest
// that holds the map is taken.
var countsTried = [...]float64{0.0001, 0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.1}

// Scale returns how the map's pictures are read.
func (m *DepthMap) Scale() DepthScale {
	highest, _ := m.Highest()
	s := DepthScale{
		PerPixel: m.Step, Columns: m.Columns, Rows: m.Rows, Bed: m.Bed,
		Left: written(m.Origin[0]), Top: written(m.Origin[1] + float64(m.Rows-1)*m.Step),
		Zero: "no framework; any other value v is (v - 1) × mm_per_count over the bed",
	}
	for _, s.PerCount = range countsTried {
		if highest/s.PerCount <= math.MaxUint16-1 {
			break
		}
	}
	return s
}

// written rounds a place to a millionth of a millimetre, so that it reads well.
func written(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// WriteTopPNG writes the tops as a 16-bit grey picture, superior upward. Its
// scale stands in it: pixels per metre, and a Description (PNG, third edition,
// 11.3.3 and 11.3.4.3) that says what the values mean.
func (m *DepthMap) WriteTopPNG(w io.Writer) error {
	return m.writePNG(w, m.Top, "Top of the framework over the bed")
}

// WriteUndersidePNG writes the undersides likewise.
func (m *DepthMap) WriteUndersidePNG(w io.Writer) error {
	return m.writePNG(w, m.Underside, "Underside of the framework over the bed")
}

func (m *DepthMap) writePNG(w io.Writer, heights []float64, title string) error {
	scale := m.Scale()
	picture := image.NewGray16(image.Rect(0, 0, m.Columns, m.Rows))
	for k, z := range heights {
		if math.IsNaN(z) {
			continue
		}
		count := 1 + math.Round(math.Max(z, 0)/scale.PerCount)
		picture.SetGray16(k%m.Columns, m.Rows-1-k/m.Columns, color.Gray16{Y: uint16(count)})
	}
	var encoded bytes.Buffer
	if err := png.Encode(&encoded, picture); err != nil {
		return fmt.Errorf("assemble: depth picture: %w", err)
	}
	said := fmt.Sprintf("%s. Height in mm = (value - 1) * %g; value 0 = no framework. %g mm per pixel; first pixel at x "+
		"%g, y %g mm; y upward.",
		title, scale.PerCount, scale.PerPixel, scale.Left, scale.Top)
	// After the signature (8 bytes) and the header's chunk (25 bytes).
	const head = 8 + 25
	out := append([]byte{}, encoded.Bytes()[:head]...)
	out = appendChunk(out, "pHYs", m.pixelsPerMetre())
	out = appendChunk(out, "tEXt", []byte("Description\x00"+said))
	out = append(out, encoded.Bytes()[head:]...)
	_, err := w.Write(out)
	return err
}

// pixelsPerMetre is the content of a pHYs chunk: both axes, unit metre.
func (m *DepthMap) pixelsPerMetre() []byte {
	const millimetres, metre = 1000, 1
	per := uint32(math.Round(millimetres / m.Step))
	data := binary.BigEndian.AppendUint32(nil, per)
	return append(binary.BigEndian.AppendUint32(data, per), metre)
}

// appendChunk adds a PNG chunk: length, name, content, checksum of name and
// content.
func appendChunk(to []byte, name string, content []byte) []byte {
	to = binary.BigEndian.AppendUint32(to, uint32(len(content)))
	named := append([]byte(name), content...)
	to = append(to, named...)
	return binary.BigEndian.AppendUint32(to, crc32.ChecksumIEEE(named))
}

// WriteCSV writes a line for every place with framework: its coordinates, top
// and underside over the bed, all in mm as the heading says.
func (m *DepthMap) WriteCSV(w io.Writer) error {
	out := bufio.NewWriter(w)
	out.WriteString("x_mm,y_mm,top_mm,underside_mm\n")
	var line []byte
	for k, top := range m.Top {
		if math.IsNaN(top) {
			continue
		}
		p := m.Place(k)
		line = line[:0]
		for i, v := range [...]float64{p[0], p[1], top, m.Underside[k]} {
			if i > 0 {
				line = append(line, ',')
			}
			line = strconv.AppendFloat(line, v, 'f', 4, 64)
		}
		out.Write(append(line, '\n'))
	}
	return out.Flush()
}
