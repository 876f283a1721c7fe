"""A planned flight."""
