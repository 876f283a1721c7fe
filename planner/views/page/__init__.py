"""The page: one file that plans a flight in any browser, with nothing to install and no network."""
