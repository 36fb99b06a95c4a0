package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/dossier"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

func runExport(args []string, std stdio) error {
	fs := newFlags("export", "-data DIR -operator ID [-from TIME] [-to TIME] | -whole",
		"Writes the log of an operator as an ADIF file to standard output: certain and\n"+
			"incomplete contacts, each station once a pass. DIR may be a backup file.\n"+
			"With -whole it writes the operator whole, for import on another messaging app or\n"+
			"store: the log in all its versions, what was handed over of it, and the settings.")
	data := fs.String("data", "", "the store's `DIR`ectory, or a backup file")
	operator := fs.String("operator", "", "the operator's `ID`; verify lists them")
	var from, to moment
	fs.Var(&from, "from", "only contacts from this `TIME` on, as 2026-09-01T10:00:00Z")
	fs.Var(&to, "to", "only contacts before this `TIME`")
	whole := fs.Bool("whole", false, "the operator whole, as a document of our own (lines of JSON), not ADIF")
	if err := parseFlags(fs, args, std, "data", "operator"); err != nil {
		return err
	}
	switch {
	case *whole && (given(fs, "from") || given(fs, "to")):
		return usagef("-whole together with -from or -to: expected one of them")
	case *whole:
		return withAdvice(exportWhole(*data, storage.OperatorID(*operator), std.out))
	case given(fs, "from") && given(fs, "to") && !from.Before(to.Time):
		return usagef("-from %s is not before -to %s", &from, &to)
	}
	contacts, err := contactsOf(*data, storage.OperatorID(*operator), from.Time, to.Time)
	if err != nil {
		return withAdvice(err)
	}
	doubtful := 0
	for _, c := range contacts {
		if c.State == storage.Doubtful {
			doubtful++
		}
	}
	if doubtful > 0 {
		fmt.Fprintf(std.err, "Left out until they are answered in the chat: %s.\n", counted(doubtful, "doubtful contact"))
	}
	err = logbook.Write(std.out, contacts, time.Now(), version())
	if errors.Is(err, logbook.ErrEmpty) {
		fmt.Fprintln(std.err, "Nothing to export: no certain or incomplete contact is logged in that time.")
		return nil
	}
	if groups := len(logbook.Split(logbook.Entries(contacts))); groups > 1 {
		fmt.Fprintf(std.err, "The file mixes %d own calls or places; many receivers read only one from a file.\n", groups)
	}
	return err
}

// exportWhole writes an operator whole.
func exportWhole(data string, id storage.OperatorID, out io.Writer) error {
	s, err := storage.OpenForRead(data)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(func(v *storage.View) error {
		op, err := operatorOf(v, id)
		if err != nil {
			return err
		}
		return dossier.Write(out, v, op)
	})
}

// contactsOf returns an operator's contacts with from ≤ time < to; a zero time
// sets no limit.
func contactsOf(data string, id storage.OperatorID, from, to time.Time) (contacts []storage.Contact, err error) {
	s, err := storage.OpenForRead(data)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if to.IsZero() {
		to = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	err = s.View(func(v *storage.View) error {
		if _, err := operatorOf(v, id); err != nil {
			return err
		}
		contacts, err = v.Contacts(id, from, to)
		return err
	})
	return contacts, err
}

// operatorOf is an operator, or an error that names those there are.
func operatorOf(v *storage.View, id storage.OperatorID) (storage.Operator, error) {
	op, known, err := v.Operator(id)
	if err != nil || known {
		return op, err
	}
	operators, err := v.Operators()
	if err != nil {
		return op, err
	}
	var ids []string
	for _, o := range operators {
		ids = append(ids, string(o.ID))
	}
	if len(ids) == 0 {
		return op, fmt.Errorf("there is no operator %q, nor any other", id)
	}
	return op, fmt.Errorf("there is no operator %q; there is: %s", id, strings.Join(ids, ", "))
}

func runVerify(args []string, std stdio) error {
	fs := newFlags("verify", "-data DIR",
		"Checks every value of a store and says what it holds. DIR may be a backup file.")
	data := fs.String("data", "", "the store's `DIR`ectory, or a backup file")
	if err := parseFlags(fs, args, std, "data"); err != nil {
		return err
	}
	report, err := storage.Verify(*data)
	if err == nil {
		fmt.Fprintf(std.out, "%s is sound (schema %d)\n", report.Path, report.Schema)
		if n := report.Unjournalled; n > 0 {
			fmt.Fprintf(std.out, "The contact journal lacks %s, which the next start adds: the program was killed.\n", counted(n, "line"))
		}
	}
	if report.Schema > 0 { // it could be read, as far as it is whole
		printReport(std.out, report)
	}
	return withAdvice(err)
}

// withAdvice says what can be done about a damaged store.
func withAdvice(err error) error {
	if !errors.Is(err, storage.ErrDamaged) {
		return err
	}
	return fmt.Errorf("the store is damaged: %w\n"+
		"The next start mends it from its journal and its backups and says what is lost.\n"+
		"-data also takes a backup, as lie in its directory of backups", err)
}

func printReport(w io.Writer, r storage.Report) {
	for _, o := range r.Operators {
		fmt.Fprintf(w, "operator %s (%s): %s, %s, %s\n", o.ID, cmp.Or(o.Call, "no call yet"),
			counted(o.Contacts, "contact"), counted(o.Passes, "pass"), counted(o.Messages, "message"))
	}
	if len(r.Operators) == 0 {
		fmt.Fprintln(w, "no operator yet")
	}
	fmt.Fprintf(w, "waiting: %d received, %d to send, %d on the agenda; set aside: %d\n",
		r.Inbox, r.Owed, r.Agenda, r.SetAside)
	const most = 20
	for _, f := range r.Faults[max(0, len(r.Faults)-most):] {
		failure := "could not be read"
		if f.Post {
			failure = "could not be sent"
		}
		fmt.Fprintf(w, "%s %s %s: %s\n", f.At.UTC().Format(time.RFC3339), failure, oneLine(f.Name), oneLine(f.Why))
	}
}

// oneLine is a text of unknown origin as it may stand in a line of ours.
func oneLine(s string) string {
	s = strconv.QuoteToGraphic(s)
	return strings.ReplaceAll(s[1:len(s)-1], `\"`, `"`)
}

func counted(n int, noun string) string {
	switch {
	case n == 1:
	case strings.HasSuffix(noun, "s"):
		noun += "es"
	default:
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

func runBackup(args []string, std stdio) error {
	fs := newFlags("backup", "-data DIR -o FILE",
		"Writes a consistent copy of a store and checks it. An older backup of that name\n"+
			"is replaced once the new one is whole; any other file is left alone.")
	data := fs.String("data", "", "the store's `DIR`ectory, or a backup file")
	target := fs.String("o", "", "the `FILE` to write")
	if err := parseFlags(fs, args, std, "data", "o"); err != nil {
		return err
	}
	report, err := backup(*data, *target)
	if err != nil {
		return withAdvice(err)
	}
	contacts := 0
	for _, o := range report.Operators {
		contacts += o.Contacts
	}
	fmt.Fprintf(std.out, "%s holds %s\n", *target, counted(contacts, "contact"))
	return nil
}

// backup writes the copy beside its target, checks it, and only then gives it
// its name.
func backup(data, target string) (storage.Report, error) {
	s, err := storage.OpenForRead(data)
	if err != nil {
		return storage.Report{}, err
	}
	defer s.Close()
	if err := mayReplace(data, target); err != nil {
		return storage.Report{}, err
	}
	copied, err := os.CreateTemp(filepath.Dir(target), filepath.Base(target)+".*.partial")
	if err != nil {
		return storage.Report{}, err
	}
	defer os.Remove(copied.Name()) // does nothing once it is renamed
	if err := errors.Join(copied.Close(), s.CopyTo(copied.Name(), time.Now())); err != nil {
		return storage.Report{}, err
	}
	report, err := storage.Verify(copied.Name())
	if err != nil {
		return report, fmt.Errorf("the copy is not whole: %w", err)
	}
	return report, os.Rename(copied.Name(), target)
}

// mayReplace reports what stands against writing the target: it is the store
// itself, or there is a file that is no backup.
func mayReplace(data, target string) error {
	old, err := os.Stat(target)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, path := range []string{data, filepath.Join(data, "skyslate.db")} {
		if store, err := os.Stat(path); err == nil && os.SameFile(old, store) {
			return fmt.Errorf("%s is the store itself: choose another file", target)
		}
	}
	if _, err := storage.Verify(target); err != nil {
		return fmt.Errorf("%s exists and is no whole backup: choose another file, or move it away", target)
	}
	return nil
}
