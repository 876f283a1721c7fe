"""Problems for the classroom: set from any profile by seed, and solved line by line."""
