"""Demonstrations computed live."""
