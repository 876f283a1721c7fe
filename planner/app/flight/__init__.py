"""Commands about a flight."""
