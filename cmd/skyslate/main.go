// Command skyslate is a chat bot for working amateur-radio satellites in the
// field: it reminds before a pass, reads terse messages during it, and hands
// over the log. This program runs the bot and does by hand what the bot does by
// itself: predict passes, read lines, export and check the log.
//
// Exit status: 0 done, 1 it failed and said why on standard error, 2 the
// arguments are wrong.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime/debug"
)

// stdio is where a verb reads and writes.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

// A verb is what the program can be told to do. It returns flag.ErrHelp if it
// only explained itself, a usageError if its arguments are wrong.
type verb struct {
	name    string
	summary string
	run     func(args []string, std stdio) error
}

func verbs() []verb {
	return []verb{
		{"chat", "the whole bot in this terminal; begin with chat -rehearse", runChat},
		{"serve", "the bot on Telegram, on Matrix, or on both", runServe},
		{"passes", "list the passes of birds over a place", runPasses},
		{"read", "show how lines would be read", runRead},
		{"export", "write a log as ADIF, or an operator whole", runExport},
		{"import", "put an ADIF file into a log, or an operator whole into a store", runImport},
		{"verify", "check a store and say what it holds", runVerify},
		{"backup", "copy a store", runBackup},
	}
}

func main() {
	os.Exit(run(os.Args[1:], stdio{os.Stdin, os.Stdout, os.Stderr}))
}

// run does what the arguments say and returns the exit status.
func run(args []string, std stdio) int {
	if len(args) == 0 {
		help(std.err)
		return 2
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		help(std.out)
		return 0
	}
	for _, v := range verbs() {
		if v.name == args[0] {
			return status(v.name, v.run(args[1:], std), std)
		}
	}
	fmt.Fprintf(std.err, "skyslate: there is no command %q; skyslate help lists them\n", args[0])
	return 2
}

// status says what went wrong and returns the exit status.
func status(name string, err error, std stdio) int {
	var usage usageError
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return 0
	case errors.As(err, &usage):
		fmt.Fprintf(std.err, "skyslate %s: %v\nskyslate %s -h explains the arguments\n", name, err, name)
		return 2
	case errors.Is(err, errTold):
		return 1
	}
	fmt.Fprintf(std.err, "skyslate %s: %v\n", name, err)
	return 1
}

func help(w io.Writer) {
	fmt.Fprint(w, "skyslate COMMAND [ARGUMENTS]\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(w, "  %-8s %s\n", v.name, v.summary)
	}
	fmt.Fprint(w, "\nskyslate COMMAND -h explains each.\n")
}

// usageError says which argument is wrong.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

// errTold is the error of a verb that has said already what went wrong.
var errTold = errors.New("failed")

// newFlags returns the flags of a verb; about explains it in a few lines.
func newFlags(name, arguments, about string) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.Discard) // parseFlags prints what there is to print
	fs.Usage = func() {
		fmt.Fprintf(fs.Output(), "skyslate %s %s\n\n%s\n\n", name, arguments, about)
		fs.PrintDefaults()
	}
	return fs
}

// parseFlags reads the arguments of a verb. The required ones must be given and
// not be empty; FILE among them is the one argument behind the flags.
func parseFlags(fs *flag.FlagSet, args []string, std stdio, required ...string) error {
	err := fs.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fs.SetOutput(std.out)
		fs.Usage()
		return err
	case err != nil:
		return usageError{err}
	}
	files := 0
	for _, name := range required {
		switch {
		case name == "FILE":
			if files = 1; fs.NArg() == 0 {
				return usagef("the FILE is missing")
			}
		case fs.Lookup(name).Value.String() == "":
			return usagef("-%s is missing", name)
		}
	}
	if fs.NArg() > files {
		return usagef("there is an argument too many: %q", fs.Arg(files))
	}
	return nil
}

// given reports whether a flag stands among the arguments.
func given(fs *flag.FlagSet, name string) bool {
	found := false
	fs.Visit(func(f *flag.Flag) { found = found || f.Name == name })
	return found
}

// version is what the files that are handed over name: the module's, where the
// program was built from one.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(devel)"
	}
	return info.Main.Version
}
