package dossier

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// ofTheChat are the fields of an operator that stay behind: who they are, what the
// conversation and the planning remember between two messages, and with whom logs are
// compared.
var ofTheChat = []string{
	"ID", "Asking", "Chosen", "Listed", "Decided", "Bulks", "Heard", "Delivery", "Silent", "Planned", "Agenda", "Tidied", "Advised", "Missed",
	"Flow", "Stored", "Agreeing", "Differed", "Differs", "Phones", "Phoned", "Offer", "Question",
}

// Each field of an operator moves, or is known to be the chat's.
func TestSettingsAreWhole(t *testing.T) {
	moved := reflect.TypeFor[settings]()
	for _, f := range reflect.VisibleFields(reflect.TypeFor[storage.Operator]()) {
		if _, moves := moved.FieldByName(f.Name); moves == slices.Contains(ofTheChat, f.Name) {
			t.Errorf("%s moves: %t; is it of the chat?", f.Name, moves)
		}
	}
}

// What moves is given: no field is left out on either way.
func TestSettingsGoBothWays(t *testing.T) {
	at := time.Date(2027, 5, 23, 10, 45, 0, 0, time.UTC)
	full := storage.Operator{Joined: at, Cautioned: at, Evened: at, Call: parse.MustParseCallsign("HX7KZQ")}
	fields := reflect.ValueOf(&full).Elem()
	for _, f := range fields.Fields() {
		if f.Kind() == reflect.Struct {
			fill(f)
		}
	}
	fill(fields)
	var back storage.Operator
	settingsOf(full).give(&back)
	moved := reflect.TypeFor[settings]()
	for field := range moved.Fields() {
		name := field.Name
		if reflect.ValueOf(back).FieldByName(name).IsZero() {
			t.Errorf("%s is lost", name)
		}
	}
}

// fill makes the exported fields of a struct differ from zero, as far as they are plain.
func fill(v reflect.Value) {
	for _, f := range v.Fields() {
		switch {
		case !f.CanSet():
		case f.Kind() == reflect.String:
			f.SetString("x")
		case f.CanInt():
			f.SetInt(7)
		case f.CanUint():
			f.SetUint(7)
		case f.Kind() == reflect.Float64:
			f.SetFloat(7)
		case f.Kind() == reflect.Slice:
			f.Set(reflect.MakeSlice(f.Type(), 1, 1))
		}
	}
}
