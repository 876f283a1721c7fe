"""Sheets filled in at a bench or on the scales."""
