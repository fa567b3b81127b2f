"""Pure numbers: no I/O but its own tables, no clock, no chat."""
