"""The command line: reads flags and files, calls the engine, prints a report, returns an exit code."""
