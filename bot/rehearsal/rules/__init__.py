"""What the platform refuses: one module per kind of payload, all free of I/O."""
