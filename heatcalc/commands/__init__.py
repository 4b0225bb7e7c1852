"""One command a file: `add_arguments(parser)` and `run(arguments)`; thin, no arithmetic."""
