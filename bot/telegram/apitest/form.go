package apitest

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"
)

// form is what a request carried: values as text, files apart.
type form struct {
	values map[string]string
	files  map[string]upload
}

type upload struct {
	name string
	body []byte
}

// readForm reads the parameters of a request from its address and its body,
// be it of a form's type or the other.
func readForm(r *http.Request) (form, error) {
	f := form{values: map[string]string{}, files: map[string]upload{}}
	stated := r.Header.Get("Content-Type")
	kind, params, err := mime.ParseMediaType(stated)
	values := r.URL.Query()
	switch {
	case stated == "" || r.Body == nil:
		err = nil
	case err != nil:
		return f, fmt.Errorf("can't read the content type: %w", err)
	case kind == "multipart/form-data":
		err = f.readParts(multipart.NewReader(r.Body, params["boundary"]))
	case kind == "application/x-www-form-urlencoded":
		err = r.ParseForm()
		values = r.Form
	}
	for name := range values {
		f.values[name] = values.Get(name)
	}
	if err == nil && r.Body != nil {
		// Only after the end of the body does net/http notice that a client goes.
		_, err = io.Copy(io.Discard, r.Body)
	}
	return f, err
}

// readParts reads a multipart body by hand: the library's own reader fails on
// an empty one, which a call without parameters sends. A part is a file only if
// it has a file name.
func (f form) readParts(mr *multipart.Reader) error {
	for first := true; ; first = false {
		part, err := mr.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil && first && strings.HasSuffix(err.Error(), "EOF"):
			return nil // an empty body
		case err != nil:
			return err
		}
		body, err := io.ReadAll(part)
		if err != nil {
			return err
		}
		if part.FileName() == "" {
			f.values[part.FormName()] = string(body)
			continue
		}
		f.files[part.FormName()] = upload{part.FileName(), body}
	}
}

// number reads a whole number; 0 if there is none.
func (f form) number(name string) int64 {
	n, _ := strconv.ParseInt(f.values[name], 10, 64)
	return n
}

func (f form) truth(name string) bool { return f.values[name] == "true" }

// object reads a value that is JSON into v; an absent one leaves v alone.
func (f form) object(name string, v any) *apiError {
	text, ok := f.values[name]
	if !ok {
		return nil
	}
	if err := json.Unmarshal([]byte(text), v); err != nil {
		return bad("can't parse " + name + " JSON object")
	}
	return nil
}
