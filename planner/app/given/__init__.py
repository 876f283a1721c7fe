"""What is given on the command line: settings, completion, questions."""
