"""What lasts beyond one flight: fuel ledger, weighing, amendments."""
