"""Aircraft, weighing, ledger, published cases."""
