"""The commands, one a module: each adds its arguments and runs, returning the exit code."""
