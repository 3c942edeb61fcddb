package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// Encode returns a record as JSON, indented by two blanks, its keys in the order
// in which the record declares them. Every number that is not whole is rounded:
// to a millionth, or where it is below a thousandth to four digits, so that tolerances
// and corrections keep their meaning. A number that is none cannot be stored and
// is an error.
func Encode(record any) ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(record); err != nil {
		return nil, fmt.Errorf("the record cannot be stored: %w", err)
	}
	return rounded(out.Bytes()), nil
}

// What numbers are rounded to.
const (
	decimals    = 6    // after the point
	small       = 1e-3 // below which digits are counted from the first that is not zero
	smallDigits = 4
)

// rounded rounds the numbers in a JSON text, those within its strings left alone.
func rounded(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); {
		from := i
		switch c := text[i]; {
		case c == '"':
			for i++; text[i] != '"'; i++ {
				if text[i] == '\\' {
					i++
				}
			}
			i++
			out = append(out, text[from:i]...)
		case c == '-' || '0' <= c && c <= '9':
			for i < len(text) && bytes.IndexByte([]byte("+-.eE0123456789"), text[i]) >= 0 {
				i++
			}
			out = appendRounded(out, text[from:i])
		default:
			out = append(out, c)
			i++
		}
	}
	return out
}

// appendRounded appends a number as it is stored. What is not to be parsed was not
// written by the encoder, and stays.
func appendRounded(out, number []byte) []byte {
	if !bytes.ContainsAny(number, ".eE") {
		return append(out, number...)
	}
	v, err := strconv.ParseFloat(string(number), 64)
	if err != nil {
		return append(out, number...)
	}
	if math.Abs(v) < small {
		v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'e', smallDigits-1, 64), 64)
	} else {
		v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
	}
	written, _ := json.Marshal(v) // a finite number
	return append(out, written...)
}

// JSON returns the record as Encode writes it.
func (r *Build) JSON() ([]byte, error) { return Encode(r) }

// JSON returns the record as Encode writes it.
func (r *Pocket) JSON() ([]byte, error) { return Encode(r) }

// JSON returns the record as Encode writes it.
func (r *Variation) JSON() ([]byte, error) { return Encode(r) }

// JSON returns the record as Encode writes it.
func (r *Practice) JSON() ([]byte, error) { return Encode(r) }
