package adif_test

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse/adif"
)

// plain is a record as it stands in a file: names in upper case, values ASCII.
func plain(rec adif.Record) adif.Record {
	rec = slices.Clone(rec)
	for i, f := range rec {
		rec[i].Name = strings.ToUpper(f.Name)
		if f.Type != 0 {
			rec[i].Type = strings.ToUpper(string(rune(f.Type)))[0]
		}
		if !mayHaveLines(rec[i]) {
			rec[i].Value = adif.ASCII(f.Value)
			continue
		}
		lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(f.Value), "\n")
		for j := range lines {
			lines[j] = adif.ASCII(lines[j])
		}
		rec[i].Value = strings.Join(lines, "\r\n")
	}
	return rec
}

func mayHaveLines(f adif.Field) bool {
	return f.Type == 'M' || slices.Contains([]string{"ADDRESS", "NOTES", "QSLMSG", "QSLMSG_RCVD", "RIG"}, f.Name)
}

func TestWriter(t *testing.T) {
	var b strings.Builder
	w := adif.NewWriter(&b)
	err := errors.Join(
		w.WriteHeader("An invented log", adif.Record{{Name: "ADIF_VER", Value: "3.1.7"}}),
		w.Write(adif.Record{{Name: "call", Value: "OX9QZT"}, {Name: "NAME", Value: "Zoë"}, {Name: "COMMENT", Value: ""}}),
		w.Write(adif.Record{{Name: "APP_X_Y", Type: 's', Value: "a<b"}, {Name: "NOTES", Value: "one\ntwo"}}),
		w.Flush(),
	)
	if err != nil {
		t.Fatal(err)
	}
	want := "An invented log\r\n<ADIF_VER:5>3.1.7\r\n<EOH>\r\n\r\n" +
		"<CALL:6>OX9QZT <NAME:3>Zoe <COMMENT:0> <EOR>\r\n" +
		"<APP_X_Y:3:S>a<b <NOTES:8>one\r\ntwo <EOR>\r\n"
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}

func TestWriterRefuses(t *testing.T) {
	tests := []struct {
		name string
		rec  adif.Record
		want error
	}{
		{"no fields", nil, adif.ErrEmpty},
		{"no name", adif.Record{{Value: "x"}}, adif.ErrName},
		{"end mark", adif.Record{{Name: "eor"}}, adif.ErrName},
		{"end of header", adif.Record{{Name: "EOH"}}, adif.ErrName},
		{"comma", adif.Record{{Name: "A,B"}}, adif.ErrName},
		{"colon", adif.Record{{Name: "A:B"}}, adif.ErrName},
		{"bracket", adif.Record{{Name: "A>B"}}, adif.ErrName},
		{"not ASCII", adif.Record{{Name: "ÄB"}}, adif.ErrName},
		{"blank at the end", adif.Record{{Name: "A "}}, adif.ErrName},
		{"line end", adif.Record{{Name: "A\nB"}}, adif.ErrName},
		{"another alphabet", adif.Record{{Name: "NAME_INTL", Value: "x"}}, adif.ErrName},
		{"type no letter", adif.Record{{Name: "A", Type: '5'}}, adif.ErrName},
		{"twice", adif.Record{{Name: "CALL", Value: "OX9QZT"}, {Name: "call", Value: "OX9QZT"}}, adif.ErrName},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var b bytes.Buffer
			w := adif.NewWriter(&b)
			if err := w.Write(tt.rec); !errors.Is(err, tt.want) {
				t.Errorf("error %v, want %v", err, tt.want)
			}
			if err := w.Flush(); err != nil || b.Len() != 0 {
				t.Errorf("wrote %q, %v", b.String(), err)
			}
		})
	}
}

func TestWriterHeaderRules(t *testing.T) {
	for _, text := range []string{"", "  ", "<EOH>", "a <b"} {
		if err := adif.NewWriter(&bytes.Buffer{}).WriteHeader(text, nil); err == nil {
			t.Errorf("header text %q was taken", text)
		}
	}
	w := adif.NewWriter(&bytes.Buffer{})
	if err := w.Write(adif.Record{{Name: "CALL", Value: "OX9QZT"}}); err != nil {
		t.Fatal(err)
	}
	if err := w.WriteHeader("late", nil); err == nil {
		t.Error("a header behind a record was taken")
	}
}

func TestASCII(t *testing.T) {
	// Decompositions: Unicode Standard Annex #15; spellings of ß, æ, ø, ł, þ:
	// common practice, no source.
	tests := []struct{ in, want string }{
		{"", ""},
		{"plain ~ text", "plain ~ text"},
		{"Jürgen Groß", "Jurgen Gross"},
		{"ЁЖ", "??"},
		{"Søren Kjær", "Soren Kjaer"},
		{"Łódź", "Lodz"},
		{"Þórður", "Thordur"},
		{"cafe\u0301", "cafe"},
		{"ＯＸ９", "OX9"},
		{"ﬁeld ½ …", "field 1/2 ..."},
		{"it’s “so” – 5°", `it's "so" - 5deg`},
		{"two\r\nlines\tand\u00a0blanks", "two lines and blanks"},
		{"bad \xff byte", "bad ? byte"},
		{"bell\a", "bell?"},
		{"73 👍", "73 ?"},
	}
	for _, tt := range tests {
		if got := adif.ASCII(tt.in); got != tt.want {
			t.Errorf("ASCII(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

func FuzzASCII(f *testing.F) {
	f.Add("Łódź ﬁ ½ \r\n \xff 👍")
	f.Add("e\u0301\u0328ẞ")
	f.Fuzz(func(t *testing.T, s string) {
		got := adif.ASCII(s)
		for i := range len(got) {
			if got[i] < 32 || got[i] > 126 {
				t.Fatalf("ASCII(%q) = %q", s, got)
			}
		}
		if again := adif.ASCII(got); again != got {
			t.Fatalf("ASCII(%q) = %q", got, again)
		}
	})
}

// FuzzWriter: what is written is read back equal.
func FuzzWriter(f *testing.F) {
	f.Add("CALL", byte(0), "OX9QZT", "NAME", byte('s'), "Zoë <EOR> ß")
	f.Add("notes", byte('M'), "a\nb\r\nc\rd", "APP_X_Y Z", byte('N'), "")
	f.Add("A", byte(0), "x", "a", byte(0), "y")
	f.Fuzz(func(t *testing.T, name1 string, type1 byte, value1, name2 string, type2 byte, value2 string) {
		rec := adif.Record{{name1, type1, value1}, {name2, type2, value2}}
		const longest = 1 << 16 // what a Reader takes
		for _, f := range plain(rec) {
			if len(f.Value) > longest || !utf8.ValidString(f.Name) {
				t.Skip()
			}
		}
		var b bytes.Buffer
		w := adif.NewWriter(&b)
		head := adif.Record{{Name: "PROGRAMID", Value: value1}}
		if err := w.WriteHeader("made for a test", head); err != nil {
			t.Fatal(err)
		}
		if err := w.Write(rec); err != nil {
			if !errors.Is(err, adif.ErrName) {
				t.Fatal(err)
			}
			return
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		r := adif.NewReader(&b)
		got, err := r.Read()
		if err != nil {
			t.Fatalf("%q: %v", rec, err)
		}
		if diff := cmp.Diff(plain(rec), got); diff != "" {
			t.Fatal(diff)
		}
	})
}
