package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"slabwright/layout/place"
	"slabwright/layout/place/proof"
)

// certificateFolder asks for the folder of a proof before a search has taken its
// time.
func certificateFolder(name string) error {
	folder := filepath.Dir(name)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return fmt.Errorf("--certificate %s: there is no folder %s; make it, or name a file in another", name, folder)
	}
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("--certificate %s: it is no plain file; name one, or a new one", name)
	}
	return nil
}

// writeCertificate writes the proof of a search into a file, all of it or nothing.
func (c *console) writeCertificate(name string, t *place.Certificate) error {
	var b bytes.Buffer
	if err := t.Write(&b); err != nil {
		return fmt.Errorf("--certificate: %s: %w", name, err)
	}
	if err := writeAll(filepath.Dir(name), []file{{Name: filepath.Base(name), data: b.Bytes()}}); err != nil {
		return fmt.Errorf("--certificate: %w", err)
	}
	c.say("wrote the proof, %d ranges, to %s; slabwright check --certificate %s verifies it", len(t.Ranges), name, name)
	return nil
}

// certified verifies the certificate in a file. What it proves, or where it
// fails, is told as a check of its own; best is the placement it speaks of.
func (j *job) certified(name string) (k place.Check, best *place.Placement, err error) {
	f, err := os.Open(name)
	if err != nil {
		return k, nil, fmt.Errorf("--certificate: %w", err)
	}
	defer f.Close()
	t, err := proof.Read(f)
	if err != nil {
		return k, nil, fmt.Errorf("--certificate: %s, %w", name, err)
	}
	k.Name = "certificate"
	r, err := proof.Verify(j.fit, t)
	if err != nil {
		k.Message = fmt.Sprintf("%s does not hold: %v", name, err)
		return k, nil, nil
	}
	k.OK = true
	of := "level placement"
	switch {
	case r.AllLevel:
		of = "placement (the search lays all level in this slab)"
	case r.Tilted:
		of = "placement, level or tilted as the search tilts,"
	}
	switch {
	case t.Best != nil:
		p := t.Best.Placement()
		best = &p
		k.Message = fmt.Sprintf("%s holds: no allowed %s scores less than %.3f points, its best scores %.3f; %d ranges verified", name, of, r.Bound, t.Best.Score, r.Ranges)
	case r.NoneFits:
		k.Message = fmt.Sprintf("%s holds: no %s is allowed; %d ranges verified", name, of, r.Ranges)
	default:
		k.Message = fmt.Sprintf("%s holds, but proves little: the search was stopped with %d ranges open", name, r.Open)
	}
	return k, best, nil
}
