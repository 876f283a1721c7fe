"""What the sheets of the bench go through on their way: formulas, entries, results, what is kept."""
