"""Two to five loadings beside each other."""
