"""Many loadings at once."""
