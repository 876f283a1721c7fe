"""Commands for learning."""
