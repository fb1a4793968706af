package shell

import (
	"crypto/rand"

	"fyne.io/fyne/v2"
)

const prefWorkstation = "workstation"

// workstation names this user's program on this machine; the name is made once,
// by chance, and says nothing.
func workstation(p fyne.Preferences) string {
	name := p.String(prefWorkstation)
	if name == "" {
		name = rand.Text()
		p.SetString(prefWorkstation, name)
	}
	return name
}
