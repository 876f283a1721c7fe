"""Runs too long for every change; see `python -m tests.long --help`."""
