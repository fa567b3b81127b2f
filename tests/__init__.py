"""Tests mirror the code; house/ checks the rules; rehearsal/ runs the whole bot."""
