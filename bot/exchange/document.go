package exchange

import (
	"bytes"
	"io"

	"skyslate/bot/event"
	"skyslate/bot/say/limits"
)

// headOf is how much of a document tells its kind.
const headOf = 64 << 10

// withDocument reads the document of an event, wherever its bytes are. One that the
// store lost, as when an old backup was put in its place, or that is damaged is said
// to be gone: whoever has sent it has it still.
func (p Exchange) withDocument(event string, f event.Document, read func(event.Document, *io.SectionReader)) {
	if f.Size == 0 {
		read(f, io.NewSectionReader(bytes.NewReader(f.Body), 0, int64(len(f.Body))))
		return
	}
	file, err := p.View.Document(event)
	if err != nil {
		p.Say(limits.FileGone)
		return
	}
	defer file.Close()
	read(f, file.SectionReader)
}
