"""A member's set-up in four questions, and where the new tower stands today."""
