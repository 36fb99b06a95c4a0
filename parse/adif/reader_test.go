package adif_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse/adif"
)

// story is what a Reader tells about an input: a line for each record or error.
func story(input string) (lines []string) {
	r := adif.NewReader(iotest.OneByteReader(strings.NewReader(input)))
	for {
		rec, err := r.Read()
		if err == io.EOF {
			return lines
		}
		if err != nil {
			lines = append(lines, err.Error())
			continue
		}
		lines = append(lines, oneLine(rec))
	}
}

func oneLine(rec adif.Record) string {
	var words []string
	for _, f := range rec {
		word := f.Name
		if f.Type != 0 {
			word += ":" + string(f.Type)
		}
		words = append(words, fmt.Sprintf("%s=%s", word, f.Value))
	}
	return strings.Join(words, " ")
}

func TestReader(t *testing.T) {
	tests := []struct {
		name, input string
		want        []string
	}{
		{"nothing", "", nil},
		{"text only", "no fields in here", nil},
		{
			"header and records",
			"made for a test\r\n<ADIF_VER:5>3.1.7\r\n<EOH>\r\n<CALL:5>OX9QZ<EOR>\r\n<CALL:5>XG1VV<BAND:2>2m <EOR>",
			[]string{"CALL=OX9QZ", "CALL=XG1VV BAND=2m"},
		},
		{
			// The form of the example in section IV.A.4 of the specification:
			// lower case, no type indicators, a header of text alone.
			"header of text, lower case",
			"this data conforms to a version <eoh>\n<qso_date:8>20260901<time_on:4>1523<call:5>ox9qz<band:2>2m<mode:2>FM<eor>",
			[]string{"QSO_DATE=20260901 TIME_ON=1523 CALL=ox9qz BAND=2m MODE=FM"},
		},
		{"no header", "<CALL:5>OX9QZ<EOR><CALL:5>XG1VV<EOR>", []string{"CALL=OX9QZ", "CALL=XG1VV"}},
		{"text but no end of header", "log\n<CALL:5>OX9QZ<EOR><CALL:5>XG1VV<EOR>", []string{"CALL=OX9QZ", "CALL=XG1VV"}},
		{"header without text", "<ADIF_VER:5>3.1.0<EOH><CALL:5>OX9QZ<EOR>", []string{"CALL=OX9QZ"}},
		{"header with an address in brackets", "by <somebody> <PROGRAMID:1>x <EOH><CALL:5>OX9QZ<EOR>", []string{"CALL=OX9QZ"}},
		{"byte order mark", "\ufeff<CALL:5>OX9QZ<EOR>", []string{"CALL=OX9QZ"}},
		{"types", "<QSO_DATE:8:d>20260901 <CALL:5:S>OX9QZ <EOR>", []string{"QSO_DATE:D=20260901 CALL:S=OX9QZ"}},
		{"zeros and blanks in lengths", "<CALL:005>OX9QZ < band : 2 >2m<EOR>", []string{"CALL=OX9QZ BAND=2m"}},
		{"length 0", "<CALL:5>OX9QZ<NAME:0><EOR>", []string{"CALL=OX9QZ NAME="}},
		{"sign in a value", "<COMMENT:10>a<b:2>c<d:<EOR>", []string{"COMMENT=a<b:2>c<d:"}},
		{"end mark in a value", "<COMMENT:5><EOR><CALL:5>OX9QZ<EOR>", []string{"COMMENT=<EOR> CALL=OX9QZ"}},
		{"several lines in a value", "<NOTES:8>one\r\ntwo<EOR>", []string{"NOTES=one\r\ntwo"}},
		{"empty records", "<EOR><EOR><CALL:5>OX9QZ<EOR><EOR>", []string{"CALL=OX9QZ"}},
		{"comment between fields", "<CALL:5>OX9QZ -- worked twice -- <BAND:2>2m<EOR>", []string{"CALL=OX9QZ BAND=2m"}},
		{"the same value twice", "<CALL:5>OX9QZ<call:5>OX9QZ<EOR>", []string{"CALL=OX9QZ"}},
		{"length in bytes of UTF-8", "<NAME:6>Zoë Q<EOR>", []string{"NAME=Zoë Q"}},
		{"length in characters of UTF-8", "<NAME:5>Zoë Q<CALL:5>OX9QZ<EOR>", []string{"NAME=Zoë Q CALL=OX9QZ"}},
		{"length in characters, mark at the end", "<NAME:3>Zoë<CALL:5>OX9QZ<EOR>", []string{"NAME=Zoë CALL=OX9QZ"}},
		{"Latin-1", "<NAME:3>Zo\xeb<CALL:5>OX9QZ<EOR>", []string{"NAME=Zo\xeb CALL=OX9QZ"}},
		{
			"joined files",
			"one<EOH><CALL:5>OX9QZ<EOR>\ntwo <of two><ADIF_VER:5>3.1.7<EOH><CALL:5>XG1VV<EOR>",
			[]string{"CALL=OX9QZ", "CALL=XG1VV"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, story(tt.input)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestReaderTellsAndGoesOn(t *testing.T) {
	const good = "<CALL:5>XG1VV<EOR>"
	tests := []struct{ name, input, want string }{
		{"no length", "<CALL>OX9QZ<EOR>", `1:1: found "<CALL>", expected <NAME:LENGTH>`},
		{"length no number", "<BAND:2>2m\n <CALL:x>OX9QZ<EOR>", `2:2: found "<CALL:x>", expected <NAME:LENGTH>`},
		{"negative length", "<CALL:-1>OX9QZ<EOR>", `1:1: found "<CALL:-1>", expected <NAME:LENGTH>`},
		{"type of two letters", "<CALL:5:SS>OX9QZ<EOR>", `1:1: found "<CALL:5:SS>", expected <NAME:LENGTH>`},
		{"no name", "<:5>OX9QZ<EOR>", `1:1: found "<:5>", expected <NAME:LENGTH>`},
		{"brace in the name", "<CA{L:5>OX9QZ<EOR>", `1:1: found "<CA{L:5>", expected <NAME:LENGTH>`},
		{"never closed", "<CALL:5OX9QZ<EOR>", `1:1: found a < without its >, expected <NAME:LENGTH>`},
		{"cut short", "<CALL:5>OX9QZZ<EOR>", `1:1: found CALL going on behind its 5 bytes, expected a length that fits the value`},
		{"too long", "<CALL:9>OX9QZ<BAND:2>2m<EOR>", `1:1: found CALL going on behind its 9 bytes, expected a length that fits the value`},
		{"two values", "<CALL:5>OX9QZ<CALL:5>OX9QY<EOR>", `1:14: found a second CALL with another value, expected each field once`},
		{"beyond the end", "<CALL:500>OX9QZ<EOR>", `1:1: found only 28 bytes up to the end of the file, expected 500 bytes of CALL`},
		{"absurd length", "<CALL:99999999999999999999>OX9QZ<EOR>", `1:1: found a length of more than 65536, expected a value's length`},
		{"cut short behind text", "a log <CALL:5>OX9QZZ<EOR>", `1:7: found CALL going on behind its 5 bytes, expected a length that fits the value`},
		{"header behind fields", good + "<CALL:5>OX9QZ<EOH>", `1:32: found <EOH> behind the fields of a record, expected <EOR>`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := story(tt.input + good)
			want := []string{tt.want, "CALL=XG1VV"}
			if strings.HasPrefix(tt.input, good) {
				want = append([]string{"CALL=XG1VV"}, want...)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestReaderAtTheEnd(t *testing.T) {
	got := story("<CALL:5>XG1VV<EOR>\n<CALL:5>OX9QZ")
	want := []string{"CALL=XG1VV", "2:14: found the end of the file, expected <EOR>"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestReaderBounds(t *testing.T) {
	var b strings.Builder
	b.WriteString("text <EOH>")
	for i := range 40 {
		fmt.Fprintf(&b, "<F%d:65536>%s", i, strings.Repeat("x", 65536))
	}
	b.WriteString("<EOR><CALL:5>XG1VV<EOR>")
	r := adif.NewReader(strings.NewReader(b.String()))
	_, err := r.Read()
	var broken *adif.ParseError
	if !errors.As(err, &broken) || !strings.Contains(broken.Found, "1 MiB") {
		t.Errorf("a record of 2.5 MiB: %v", err)
	}
	if rec, err := r.Read(); err != nil || oneLine(rec) != "CALL=XG1VV" {
		t.Errorf("the record behind it: %v, %v", rec, err)
	}
}

func TestReaderPassesOnErrors(t *testing.T) {
	broken := errors.New("the card came loose")
	for cut := range len("t<EOH><CALL:5>XG1VV<EOR>") {
		input := "t<EOH><CALL:5>XG1VV<EOR>"[:cut]
		r := adif.NewReader(io.MultiReader(strings.NewReader(input), iotest.ErrReader(broken)))
		if _, err := r.Read(); !errors.Is(err, broken) {
			t.Errorf("cut at %d: %v, want the reader's error", cut, err)
		}
	}
}

func FuzzReader(f *testing.F) {
	f.Add([]byte("t<ADIF_VER:5>3.1.7<EOH><CALL:5>OX9QZ<EOR><CALL:9>XG1VV<EOR>"))
	f.Add([]byte("<CALL:005:S>OX9QZ < band : 2 >2m<NAME:3>Zoë<EOR>\n<x"))
	f.Add([]byte("\ufeffa <b> c\r\n<EOH><NOTES:7:M>a\r\nb\r\nc<eor><EOH>"))
	f.Add([]byte("<A:99999999999999999999><B><:1><EOR><EOH>"))
	f.Fuzz(func(t *testing.T, input []byte) {
		r := adif.NewReader(bytes.NewReader(input))
		for before := int64(-1); ; {
			rec, err := r.Read()
			if err == io.EOF {
				return
			}
			checkInside(t, input, r.Position())
			if now := r.Position().Offset; now <= before && err == nil {
				t.Fatalf("no progress at offset %d", now)
			}
			before = r.Position().Offset
			if err == nil {
				rewrite(t, rec)
				continue
			}
			var broken *adif.ParseError
			if !errors.As(err, &broken) {
				t.Fatalf("%v is no ParseError", err)
			}
			checkInside(t, input, broken.Position)
		}
	})
}

// checkInside checks a position by counting anew.
func checkInside(t *testing.T, input []byte, p adif.Position) {
	t.Helper()
	if p.Offset < 0 || p.Offset > int64(len(input)) {
		t.Fatalf("offset %d of %d", p.Offset, len(input))
	}
	before := input[:p.Offset]
	line := 1 + bytes.Count(before, []byte("\n"))
	column := len(before) - bytes.LastIndexByte(before, '\n')
	if p.Line != line || p.Column != column {
		t.Fatalf("offset %d is %d:%d, not %d:%d", p.Offset, line, column, p.Line, p.Column)
	}
}

// rewrite checks that a record that was read can be written, unless it has a
// field that must not be, and is then read as it was.
func rewrite(t *testing.T, rec adif.Record) {
	t.Helper()
	var b bytes.Buffer
	w := adif.NewWriter(&b)
	if err := w.Write(rec); err != nil {
		if !errors.Is(err, adif.ErrName) || !strings.Contains(err.Error(), "_INTL") {
			t.Fatalf("%q was read but can't be written: %v", rec, err)
		}
		return
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	got, err := adif.NewReader(&b).Read()
	if err != nil {
		t.Fatalf("%q was written but can't be read: %v", rec, err)
	}
	if diff := cmp.Diff(plain(rec), got); diff != "" {
		t.Fatal(diff)
	}
}

func BenchmarkReader(b *testing.B) {
	record := "<QSO_DATE:8>20260901 <TIME_ON:6>101500 <CALL:6>OX9QZT <BAND:4>70cm <FREQ:7>435.250 <MODE:2>FM <GRIDSQUARE:4>JO62 <EOR>\r\n"
	input := strings.Repeat(record, 1000)
	b.SetBytes(int64(len(input)))
	b.ReportAllocs()
	for b.Loop() {
		r := adif.NewReader(strings.NewReader(input))
		for {
			if _, err := r.Read(); err != nil {
				break
			}
		}
	}
}

// A record of very many fields is broken, soon known to be, and loses no other.
func TestManyFields(t *testing.T) {
	var b strings.Builder
	b.WriteString("<EOH><CALL:6>HX7ABC<EOR>")
	for i := range 200_000 {
		fmt.Fprintf(&b, "<APP_X_%d:1>x", i)
	}
	b.WriteString("<EOR><CALL:6>DI4ZAB<EOR>")
	r := adif.NewReader(strings.NewReader(b.String()))
	var broken *adif.ParseError
	if rec, err := r.Read(); err != nil || len(rec) != 1 {
		t.Fatal(rec, err)
	}
	if _, err := r.Read(); !errors.As(err, &broken) || !strings.Contains(err.Error(), "1000 fields") {
		t.Errorf("very many fields: %v", err)
	}
	if rec, err := r.Read(); err != nil || len(rec) != 1 {
		t.Error(rec, err)
	}
}
