"""Records changed, saved and made without a file."""
