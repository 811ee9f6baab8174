"""The command line: options, a call, a page, an exit code."""
