"""The websocket side: sessions, connections, and the events that go out."""
