package localname

import (
	"net"
	"testing"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
	"gotest.tools/v3/assert"
)

// A question for the name, as a tablet puts it, is answered with an address of this computer.
// Source of the message's form: RFC 6762, 5.1, 6.7 and 18; RFC 1035, 4.1.
func TestAnnounce(t *testing.T) {
	if err := Announce(t.Context(), "matchmark-test"); err != nil {
		t.Skip("no multicast here: ", err)
	}
	group, err := net.ResolveUDPAddr("udp4", mdns.DefaultAddressIPv4)
	assert.NilError(t, err)
	conn, err := net.ListenUDP("udp4", nil) // asked from another port, the answer comes back to it alone
	assert.NilError(t, err)
	defer conn.Close()
	name := dnsmessage.MustNewName("matchmark-test.local.")
	question := dnsmessage.Message{Questions: []dnsmessage.Question{{Name: name, Type: dnsmessage.TypeA, Class: dnsmessage.ClassINET}}}
	packed, err := question.Pack()
	assert.NilError(t, err)
	if _, err := conn.WriteToUDP(packed, group); err != nil {
		t.Skip("no multicast here: ", err)
	}
	conn.SetReadDeadline(time.Now().Add(5 * time.Second))
	for buffer := make([]byte, 2000); ; {
		n, _, err := conn.ReadFromUDP(buffer)
		if err != nil {
			t.Skip("multicast does not come back here: ", err)
		}
		var reply dnsmessage.Message
		if reply.Unpack(buffer[:n]) != nil || !reply.Response {
			continue // the question itself
		}
		for _, answer := range reply.Answers {
			if a, is := answer.Body.(*dnsmessage.AResource); is && answer.Header.Name == name {
				if ip := net.IP(a.A[:]); ip.IsUnspecified() {
					t.Errorf("the name leads to %v", ip)
				}
				return
			}
		}
	}
}
