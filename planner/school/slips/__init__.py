"""Slips by name."""
