"""The log: written, taken back, read again, and what it says."""
