// Package casefile is the language of cases: a YAML file beside a template that
// says what is built, and how.
//
// Reading is strict: every key is known, every number has a unit and a range, and
// all faults are reported at once, each with its line and column. One table of
// keys drives the reader and the JSON Schema that editors use.
package casefile
