package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"skyslate/bot/dossier"
	"skyslate/bot/matrix"
	"skyslate/bot/telegram"
	"skyslate/bot/terminal"
	"skyslate/parse/adif"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

const (
	importSlice    = 1000  // records in a transaction
	importProgress = 10000 // records between two notes of progress
)

func runImport(args []string, std stdio) error {
	flags := newFlags("import", "-data DIR -operator ID FILE",
		"Puts the contacts of an ADIF file of any size into an operator's log. What the\n"+
			"log has stays as it is; what comes in counts as handed over. Broken records are\n"+
			"told with their position, and the rest is read.\n"+
			"A document of export -whole makes the operator what they were there, settings and\n"+
			"all: somebody new, or who has logged nothing yet.")
	data := flags.String("data", "", "the store's `DIR`ectory")
	operator := flags.String("operator", "", "the operator's `ID`; verify lists them")
	if err := parseFlags(flags, args, std, "data", "operator", "FILE"); err != nil {
		return err
	}
	f, err := os.Open(flags.Arg(0))
	if err != nil {
		return err
	}
	defer f.Close()
	in := bufio.NewReader(f)
	head, _ := in.Peek(64) // a shorter file is no document of an operator
	whole := dossier.Begins(head)
	if _, err := os.Stat(*data); err != nil && !(whole && errors.Is(err, fs.ErrNotExist)) {
		return fmt.Errorf("no log is there to import into; serve and chat make one: %w", err)
	}
	store, err := storage.Open(*data)
	if err != nil {
		return withAdvice(err)
	}
	im := intake{store: store, operator: storage.OperatorID(*operator), started: time.Now().UTC(), file: flags.Arg(0), std: std}
	run := im.run
	if whole {
		run = im.whole
	}
	return errors.Join(run(in), store.Close())
}

// intake is an import under way.
type intake struct {
	store    *storage.Store
	operator storage.OperatorID
	started  time.Time
	file     string
	std      stdio

	progress logbook.Progress
	told     int // records, when progress was last told
	faults   int // told
}

// run reads the file slice by slice, each in a transaction of its own.
func (im *intake) run(f io.Reader) error {
	r := adif.NewReader(f)
	for slice := 0; !im.progress.Done; slice++ {
		ch, err := im.slice(r)
		if err != nil {
			return err
		}
		event := fmt.Sprintf("import/%s/%s/%d", im.operator, im.started.Format(time.RFC3339Nano), slice)
		if err := im.store.Commit(event, im.started, ch); err != nil {
			return err
		}
		im.tell()
	}
	p := im.progress
	fmt.Fprintf(im.std.out, "%s: %s, %d new in the log, %d broken\n", im.file, counted(p.Records, "record"), p.Fresh, p.Broken)
	if p.Strange > 0 {
		fmt.Fprintf(im.std.err, "Without own call, taken as the operator's: %d\n", p.Strange)
	}
	if p.Records == 0 {
		return fmt.Errorf("%s: no record could be read", im.file)
	}
	return nil
}

// whole makes the operator the one of a document, all at once.
func (im *intake) whole(f io.Reader) error {
	if id := im.operator; !telegram.Serves(id) && !matrix.Serves(id) && id != terminal.Operator {
		return fmt.Errorf("no messaging app names anybody %q: expected a number, as 123456789, an address, as @name:server, or %s", id, terminal.Operator)
	}
	d, err := dossier.Read(f)
	if err != nil {
		return fmt.Errorf("%s: %w", im.file, err)
	}
	var ch storage.Changes
	err = im.store.View(func(v *storage.View) error {
		ch, err = d.Changes(v, im.operator, im.started)
		return err
	})
	if err == nil {
		event := fmt.Sprintf("move/%s/%s", im.operator, im.started.Format(time.RFC3339Nano))
		err = im.store.Commit(event, im.started, ch)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", im.file, err)
	}
	contacts, passes := d.Count()
	fmt.Fprintf(im.std.out, "%s: %s has the settings, %s and %s now\n", im.file, im.operator, counted(contacts, "contact"), counted(passes, "pass"))
	return nil
}

// slice is what the next records change.
func (im *intake) slice(r *adif.Reader) (ch storage.Changes, err error) {
	err = im.store.View(func(v *storage.View) error {
		op, err := operatorOf(v, im.operator)
		if err != nil {
			return err
		}
		ch.Operator = &op
		into := logbook.Importer{Operator: op, IntoLog: true}
		ch.Contacts, err = into.Take(v, r, importSlice, &im.progress)
		next := v.NextContact(im.operator)
		for i := range ch.Contacts {
			c := &ch.Contacts[i]
			if c.ID == 0 {
				c.ID = next
				next++
			}
			c.Operator, c.Version, c.Made = im.operator, c.Version+1, im.started
			c.Cause = storage.Cause{Kind: "import"}
			ch.Handed = append(ch.Handed, storage.ContactRef{ID: c.ID, Version: c.Version})
		}
		return err
	})
	return ch, err
}

// tell says where records are broken and, now and then, how far it is.
func (im *intake) tell() {
	for ; im.faults < len(im.progress.Faults); im.faults++ {
		fmt.Fprintf(im.std.err, "%s:%s\n", im.file, im.progress.Faults[im.faults])
	}
	if im.progress.Records-im.told >= importProgress {
		im.told = im.progress.Records
		fmt.Fprintf(im.std.err, "%d records, %d bytes read\n", im.progress.Records, im.progress.At.Offset)
	}
	if im.progress.Done && im.progress.Broken > logbook.MaxFaults {
		fmt.Fprintf(im.std.err, "and %d more are broken\n", im.progress.Broken-logbook.MaxFaults)
	}
}
