"""The HTTP routes, free of sockets: a Call goes in, a Reply comes out."""
