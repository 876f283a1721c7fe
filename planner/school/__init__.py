"""Problems, slips, marking, demonstrations."""
