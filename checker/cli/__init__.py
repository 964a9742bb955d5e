"""The command line: one module per group of commands; only the called one is imported and built."""
