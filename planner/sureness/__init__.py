"""How sure: draws, what measuring buys, published cases put through the program."""
