// Package record turns results into what is stored of them: record.json,
// pocket.json, vary.json, practice.json and the depth map's scale.
//
// Results are plain values of the packages that make them, which say what each
// field means; a record names it for the file, with its unit at the end of the
// name: mm, mm2, mm3, ml, degrees, percent. Records hold no time and no path: the
// same case gives the same bytes. Encode says how they are written and to how many
// digits.
package record
