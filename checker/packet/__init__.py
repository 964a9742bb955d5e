"""The permit packet: which papers an office gets, the preflight, and the writing."""
