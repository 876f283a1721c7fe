"""What a user starts: the command line and the board."""
