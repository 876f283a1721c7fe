"""Bench results and conversions."""
