package draw

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"testing"

	"pgregory.net/rapid"
)

// TestEncode reads pictures of any size back with the decoder of the standard
// library: every pixel has the ink that is nearest.
func TestEncode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := image.NewRGBA(image.Rect(0, 0, rapid.IntRange(1, 9).Draw(t, "wide"), rapid.IntRange(1, 9).Draw(t, "high")))
		for i := range m.Pix {
			m.Pix[i] = rapid.SampledFrom([]byte{0, 70, 88, 150, 222, 255}).Draw(t, "value")
			if i%4 == 3 {
				m.Pix[i] = 255
			}
		}
		body, err := encode(m, palette)
		if err != nil {
			t.Fatal(err)
		}
		back, err := png.Decode(bytes.NewReader(body))
		if err != nil || back.Bounds() != m.Rect {
			t.Fatalf("%v: %v", back, err)
		}
		for y := range m.Rect.Dy() {
			for x := range m.Rect.Dx() {
				want := palette[palette.Index(m.At(x, y))].(color.RGBA)
				if got := color.RGBAModel.Convert(back.At(x, y)); got != want {
					t.Fatalf("%d, %d: %v, want %v", x, y, got, want)
				}
			}
		}
	})
}
