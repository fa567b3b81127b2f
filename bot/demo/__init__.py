"""The invented town that the rehearsal plays in."""
