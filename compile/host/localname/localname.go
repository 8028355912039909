// Package localname answers for a name of the class host on the local network, so that tablets find it when its address changes.
package localname

import (
	"context"
	"errors"
	"net"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"

	"matchmark/procedure/say"
)

// Domain is what all such names end in.
// Source: RFC 6762, 3.
const Domain = ".local"

// Announce answers whoever asks for NAME.local with the address at which the question came in, until ctx ends. It fails where the
// system gives no multicast, which hinders nothing but the name.
func Announce(ctx context.Context, name string) error {
	group, err := net.ResolveUDPAddr("udp4", mdns.DefaultAddressIPv4)
	if err != nil {
		return say.Because(say.That("announcing the name"), err)
	}
	// Others on this computer may listen there as well; this way of listening shares the port with them.
	conn, err := net.ListenMulticastUDP("udp4", nil, group)
	if err != nil {
		return say.Because(say.That("announcing the name"), err)
	}
	server, err := mdns.NewServer(ipv4.NewPacketConn(conn), nil, mdns.WithLocalNames(name+Domain), mdns.WithRecordTypes(dnsmessage.TypeA))
	if err != nil {
		return errors.Join(say.Because(say.That("announcing the name"), err), conn.Close())
	}
	context.AfterFunc(ctx, func() { server.Close() })
	return nil
}
