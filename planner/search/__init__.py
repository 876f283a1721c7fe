"""One open parameter: remedies, headroom, windows, legs."""
