"""Commands about fuel and its density."""
