package ports

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"candelua/testdata/campaign"
)

// TestList lists the ports of a made system: one with a stable name, one without, a USB instrument, a port of the
// machine itself, and one that is not there.
func TestList(t *testing.T) {
	root := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	link := func(name, target string) {
		t.Helper()
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(target, path); err != nil {
			if campaign.Full() {
				t.Fatal(err)
			}
			t.Skip("links cannot be made here, as on Windows without the right to: ", err)
		}
	}
	for _, name := range []string{"ttyUSB0", "ttyACM1", "ttyS0", "ttyS1", "usbtmc0"} {
		write("dev/"+name, "")
	}
	link("dev/serial/by-id/usb-Tern_Street_Dunlin_7-if00", "../../ttyUSB0")
	usb := "sys/devices/usb1/1-2"
	write(usb+"/idVendor", "1209\n")
	write(usb+"/idProduct", "0001\n")
	write(usb+"/manufacturer", "Tern Street\n")
	write(usb+"/product", "Dunlin\n")
	write(usb+"/serial", "7\n")
	write(usb+"/1-2:1.0/ttyUSB0/x", "")
	link("sys/class/tty/ttyUSB0/device", filepath.Join(root, usb, "1-2:1.0/ttyUSB0"))
	link("sys/class/usbmisc/usbtmc0/device", filepath.Join(root, usb, "1-2:1.0"))
	link("sys/class/tty/ttyS0/device/driver", "../bus/pnp/serial")
	link("sys/class/tty/ttyS1/device/driver", "../bus/platform/serial8250")

	want := []Port{
		{Link: "serial:/dev/serial/by-id/usb-Tern_Street_Dunlin_7-if00", Path: "/dev/ttyUSB0", Maker: "Tern Street", Name: "Dunlin", Serial: "7", USB: "1209:0001", Stable: true},
		{Link: "serial:/dev/ttyACM1", Path: "/dev/ttyACM1"},
		{Link: "serial:/dev/ttyS0", Path: "/dev/ttyS0"},
		{Link: "usbtmc:/dev/usbtmc0", Path: "/dev/usbtmc0", Maker: "Tern Street", Name: "Dunlin", Serial: "7", USB: "1209:0001"},
	}
	if got := List(root); !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%+v\nwant\n%+v", got, want)
	}
	if got := List(t.TempDir()); len(got) != 0 {
		t.Errorf("an empty system has %+v", got)
	}
}
