"""What a user starts: the command line."""
