// Package publish brings a set of files to the place that the caller gives: a
// folder on disk, memory, or a zip. It knows nothing of what is in them.
//
// Nothing is seen at the place before Conclude, and then either the whole new set
// is, or, on an error or when the process is killed, the old one: a folder is
// written to in a passing folder within it, the files are moved under a journal,
// and what a killed run left half done is undone by the next one that writes there.
package publish
