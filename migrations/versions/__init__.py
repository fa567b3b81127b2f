"""One file a schema revision."""
