"""The page: one file that plans a flight in any browser, with nothing to install and nothing asked of a network."""
