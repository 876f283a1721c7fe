"""The legs of a day."""
