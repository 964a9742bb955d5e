"""The permit packet: what an office wants handed in, each document a module of its own."""
