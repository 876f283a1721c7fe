"""Records that are data, not code: grades, rules, standard masses, cautions. Each names its source."""
