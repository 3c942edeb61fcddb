package publish

import (
	"encoding/json"
	"os"
	"path/filepath"
)

// disk does what changes a folder that others see. before, where it is given, is
// asked before each change: tests let one of them fail, or end the process there.
type disk struct {
	before func(change, path string) error
}

func (d disk) ask(change, path string) error {
	if d.before == nil {
		return nil
	}
	return d.before(change, path)
}

func (d disk) rename(from, to string) error {
	if err := d.ask("rename", to); err != nil {
		return err
	}
	return os.Rename(from, to)
}

func (d disk) remove(path string) error {
	if err := d.ask("remove", path); err != nil {
		return err
	}
	return os.Remove(path)
}

func (d disk) mkdir(path string) error {
	if err := d.ask("mkdir", path); err != nil {
		return err
	}
	return os.Mkdir(path, 0o755)
}

// probe makes sure that files can be created in the folder and removed from it.
// One that a killed run left is taken for ours.
func (d disk) probe(folder string) error {
	if err := d.ask("probe", folder); err != nil {
		return err
	}
	file, err := os.OpenFile(filepath.Join(folder, probeFile), os.O_WRONLY|os.O_CREATE, 0o666)
	if err != nil {
		return err
	}
	file.Close()
	return os.Remove(file.Name())
}

// writeJournal writes the journal into the passing folder, whole or not at all.
func (d disk) writeJournal(staged string, p *journal) error {
	data, err := json.Marshal(p)
	if err != nil {
		return err
	}
	part := filepath.Join(staged, journalFile+".part")
	file, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer file.Close() // a second close is harmless
	if _, err := file.Write(data); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return err
	}
	if err := file.Close(); err != nil {
		return err
	}
	if err := d.rename(part, filepath.Join(staged, journalFile)); err != nil {
		return err
	}
	syncFolder(staged)
	return nil
}

// probeFile is created and removed in each folder that is going to be written to.
const probeFile = ".unfinished.probe"

// syncFolder makes renaming last through a power cut, where the system can.
func syncFolder(folder string) {
	if f, err := os.Open(folder); err == nil {
		_ = f.Sync() // not every file system knows this
		f.Close()
	}
}
