"""A flight's file: the record, its checks, its legs, what is loaded."""
