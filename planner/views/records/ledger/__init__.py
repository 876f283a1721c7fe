"""The fuel ledger set against itself, and the burn learned from it."""
