// Package ports lists what a measuring instrument may be connected to: serial ports and the
// device files of USB test and measurement instruments (USBTMC).
package ports

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Port is one place where an instrument may be.
type Port struct {
	Link   string `json:"link"`             // as a bench file names it
	Path   string `json:"path"`             // of its device file
	Maker  string `json:"maker,omitempty"`  // as the device says
	Name   string `json:"name,omitempty"`   // as the device says
	Serial string `json:"serial,omitempty"` // as the device says
	USB    string `json:"usb,omitempty"`    // vendor and product, as in 0403:6001
	Stable bool   `json:"stable"`           // the link names the same device however it is plugged in
}

// List lists the ports of a Linux system, the stable names first. root is the root of its files: "/". A file that cannot
// be read is left out.
//
// Sources: the names below /dev and the attributes of USB devices in /sys (Documentation/ABI of the Linux kernel, from
// memory): idVendor, idProduct, manufacturer, product, serial.
func List(root string) []Port {
	stable := byID(root)
	var all []Port
	for _, pattern := range []string{"ttyUSB*", "ttyACM*", "ttyAMA*", "ttyS*", "usbtmc*"} {
		files, _ := filepath.Glob(filepath.Join(root, "dev", pattern))
		for _, file := range files {
			name := filepath.Base(file)
			p := Port{Path: "/dev/" + name}
			class := "tty"
			if strings.HasPrefix(name, "usbtmc") {
				class = "usbmisc"
			}
			device := filepath.Join(root, "sys/class", class, name, "device")
			if strings.HasPrefix(name, "ttyS") && !realSerial(device) {
				continue
			}
			p.describe(device)
			scheme := "serial:"
			if class == "usbmisc" {
				scheme = "usbtmc:"
			}
			p.Link = scheme + p.Path
			if link := stable[name]; link != "" {
				p.Link, p.Stable = scheme+link, true
			}
			all = append(all, p)
		}
	}
	slices.SortStableFunc(all, func(a, b Port) int {
		if a.Stable != b.Stable {
			return cmp.Compare(rank(b.Stable), rank(a.Stable))
		}
		return cmp.Compare(a.Link, b.Link)
	})
	return all
}

func rank(first bool) int {
	if first {
		return 1
	}
	return 0
}

// byID are the stable names of serial ports, by what they lead to.
func byID(root string) map[string]string {
	names := map[string]string{}
	links, _ := filepath.Glob(filepath.Join(root, "dev/serial/by-id/*"))
	for _, link := range links {
		if target, err := os.Readlink(link); err == nil {
			names[filepath.Base(target)] = "/dev/serial/by-id/" + filepath.Base(link)
		}
	}
	return names
}

// realSerial says whether a port of the machine itself is there: the system makes files for many that are not.
func realSerial(device string) bool {
	driver, err := os.Readlink(filepath.Join(device, "driver"))
	return err == nil && filepath.Base(driver) != "serial8250"
}

// describe reads what the USB device says of itself, which is some folders above the port.
func (p *Port) describe(device string) {
	at, err := filepath.EvalSymlinks(device)
	if err != nil {
		return
	}
	for range 5 {
		vendor := attribute(at, "idVendor")
		if vendor != "" {
			p.USB = vendor + ":" + attribute(at, "idProduct")
			p.Maker, p.Name, p.Serial = attribute(at, "manufacturer"), attribute(at, "product"), attribute(at, "serial")
			return
		}
		at = filepath.Dir(at)
	}
}

func attribute(folder, name string) string {
	text, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}
