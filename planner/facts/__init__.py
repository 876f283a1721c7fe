"""Records that are data, not code: fuel grades, reserve rules, standard masses, cautions. Each names its
source.
"""
