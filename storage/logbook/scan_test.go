package logbook_test

import (
	"fmt"
	"strconv"
	"strings"
)

// A scanned file is what scan finds, fields keyed by upper-case name.
type scanned struct {
	header  map[string]string
	records []map[string]string
}

// scan reads an ADI file by the words of the standard (ADIF 3.1.7, section IV.A)
// and takes nothing that they do not allow. It shares no code with the writer.
func scan(file string) (scanned, error) {
	var out scanned
	if err := scanBytes(file); err != nil {
		return out, err
	}
	fields := map[string]string{}
	for rest := file; ; {
		open := strings.IndexByte(rest, '<')
		if open < 0 {
			if len(fields) > 0 {
				return out, fmt.Errorf("fields behind the last record: %v", fields)
			}
			return out, nil
		}
		name, tail, ok := strings.Cut(rest[open+1:], ">")
		if !ok {
			return out, fmt.Errorf("%q is never closed", rest[open:])
		}
		rest = tail
		switch name {
		case "EOH":
			out.header, fields = fields, map[string]string{}
			continue
		case "EOR":
			out.records, fields = append(out.records, fields), map[string]string{}
			continue
		}
		parts := strings.Split(name, ":")
		if len(parts) < 2 || len(parts) > 3 {
			return out, fmt.Errorf("specifier %q", name)
		}
		n, err := strconv.Atoi(parts[1])
		if err != nil || n < 0 || strconv.Itoa(n) != parts[1] || n > len(rest) {
			return out, fmt.Errorf("length of %q", name)
		}
		if _, twice := fields[parts[0]]; twice || parts[0] != strings.ToUpper(parts[0]) {
			return out, fmt.Errorf("field %q: twice, or not in upper case", parts[0])
		}
		fields[parts[0]], rest = rest[:n], rest[n:]
		if rest == "" || !strings.ContainsRune(" \r<", rune(rest[0])) {
			return out, fmt.Errorf("%q goes on behind its %d bytes", name, n)
		}
	}
}

// scanBytes checks what holds for each byte: a text first, then only printable
// ASCII and line ends of CR LF.
func scanBytes(file string) error {
	if file == "" || file[0] == '<' || file[0] == 0xef {
		return fmt.Errorf("the file begins with %.3q", file)
	}
	for i := range len(file) {
		c := file[i]
		switch {
		case c >= 32 && c <= 126:
		case c == '\r' && i+1 < len(file) && file[i+1] == '\n':
		case c == '\n' && i > 0 && file[i-1] == '\r':
		default:
			return fmt.Errorf("byte %d is %d", i, c)
		}
	}
	return nil
}
