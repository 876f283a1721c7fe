"""The ledger on the disk and as an exported file."""
