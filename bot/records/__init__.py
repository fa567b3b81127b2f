"""Frozen records that the layers hand each other."""
