"""The lot as drawn: its model, the readers of every drawing format, and honest repairs."""
