package parse

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestExplore(t *testing.T) {
	data, err := os.ReadFile(os.Getenv("EXPLORE"))
	if err != nil {
		t.Skip()
	}
	k := Known{Own: MustParseCallsign("OX9QZT"), Birds: []string{"SO-124", "SO-125", "ISS", "IO-86", "JO-97", "RS-44", "AO-123"}}
	for s := range strings.SplitSeq(strings.TrimSuffix(string(data), "\n"), "\n") {
		for _, l := range Read(strings.ReplaceAll(s, `\n`, "\n"), k) {
			fmt.Printf("%-6s %q", l.Verdict, l.Text)
			if l.Bird != "" {
				fmt.Printf(" bird=%s", l.Bird)
			}
			if l.Clock.IsSet() {
				fmt.Printf(" clock=%s", l.Clock)
			}
			if l.Denies {
				fmt.Printf(" DENIES")
			}
			for _, c := range l.Contacts {
				fmt.Printf("\n         %s %v", c.Call, c.Grids)
				if c.Clock.IsSet() {
					fmt.Printf(" at %s", c.Clock)
				}
				if c.Offset.IsSet() {
					fmt.Printf(" +%s", c.Offset.Duration())
				}
				if c.Name+c.Report+c.Mode != "" {
					fmt.Printf(" name=%s rep=%s mode=%s", c.Name, c.Report, c.Mode)
				}
				if c.Heard {
					fmt.Print(" HEARD")
				}
				if c.Corrects {
					fmt.Printf(" CORRECTS %s", c.Was)
				}
				if c.Why != "" {
					fmt.Printf(" why=%s", c.Why)
				}
				for _, x := range c.Candidates {
					fmt.Printf(" {%s %v}", x.Call, x.Grids)
				}
				if c.Text != l.Text {
					fmt.Printf(" %q", c.Text)
				}
			}
			fmt.Println()
		}
	}
}
