// Package page serves pages to browsers on the bench's network, and lets nobody else in.
//
// It is for every page that candelua serves: [Listen] opens an address, [Server.Page], [Server.Handle] and
// [Server.Socket] say what is there, [Server.URL] is what a person opens. What a page shows is its own package's.
//
// # Rules of access
//
// A request must pass all of them, in this order. What is refused gets a status, a sentence, and nothing else.
//
//	too many connections or requests     closed, or 429
//	the Host header is not one of ours   421
//	a method that is not GET or HEAD     405
//	it is for a frame                    403, and no answer can be framed
//	the token in the path is wrong       404
//	a WebSocket without our Origin       403
//	too many sockets at once             503
//
// The token is 128 random bits in the path, new with each server, and compared in constant time. Whoever has it is let
// in, so it is shown at the bench and goes nowhere else: pages send no referrer, and nothing is stored.
//
// A Host is ours if it is the very address that the connection came in at (a browser takes such an address for an
// origin of its own, so no other site can stand in for it), localhost on the same machine, or a name in [Options.Hosts].
// Without this rule a site whose name suddenly resolves to this machine (DNS rebinding) would be let in.
//
// An Origin is ours if it is the scheme and the Host of the request. One that is missing is refused: browsers send it.
//
// # Limits
//
// A message is at most [MostMessage] bytes; a socket that sends more, or more messages than [Rate] in a second for
// long, is closed with the reason. Headers, idle connections, and writes that nobody takes have limits too.
//
// # TLS
//
// With a certificate the page is a secure context, in which a browser may keep the screen awake. A local address
// without one is not; localhost is. The certificate is one's own: none is made here.
package page
