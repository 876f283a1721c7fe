"""What could have gone wrong with entries, and how it is told."""
