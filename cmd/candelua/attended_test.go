//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const waits = `return procedure {
  title = "Waits", purpose = "A picture that stands.", needs = { patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    clock.wait(3600)
  end,
}
`

// Where nobody is heard, the run pauses: in a long wait, and at a prompt. A line puts that off. The time that is waited for is
// real, so that it is short.
func TestAttended(t *testing.T) {
	t.Parallel()
	for name, script := range map[string]string{"wait": waits, "prompt": slow} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := folderWith(t, name, script)
			began := time.Now()
			c := atTerminal(t, dir, 100, "run", "./"+name+".lua", "--bench", "operator", "--attended", "2s")
			for range 3 {
				c.waits(t, "Is anybody there?")
				c.types(t, "\n")
				time.Sleep(1500 * time.Millisecond)
			}
			screen := c.screen(t)
			if took := time.Since(began); took < 5*time.Second {
				t.Errorf("it paused after %v, though somebody was there", took)
			}
			for _, want := range []string{"Is anybody there? Press Enter within ", "nobody answered for 2s", "candelua: hint: resume the run when somebody is at the bench", "(paused, "} {
				if !strings.Contains(screen, want) {
					t.Errorf("the screen has no %q:\n%s", want, screen)
				}
			}
			journal, err := os.ReadFile(filepath.Join(dir, "runs", name+"-1", "journal.jsonl"))
			if err != nil || !strings.Contains(string(journal), `"safe-end"`) {
				t.Errorf("the bench was not left safe: %v", err)
			}
		})
	}
}
