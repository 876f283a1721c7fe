"""The printed sheet."""
