// Package sheet draws the paper of a practice set: carving sheets at true size
// and the session sheet.
//
// Carving sheets show every unit's outline as it is seen from the side, lateral
// side up, at exactly 1:1: nothing is ever scaled or mirrored to fit. What is
// larger than the paper goes on several sheets that overlap and carry crop
// marks. Every sheet at true size has a check bar of 100 mm along both edges.
//
// Lengths are millimetres. Figures have y upward, as outlines do; pages have
// their origin in the upper left corner and y downward. The same input gives the
// same bytes, as PDF and as SVG; no date is written. Text below 8 pt and marks
// nearer than 8 mm to the paper's edge are not made.
//
// The sheets are for practice and teaching only; every page says so.
package sheet
