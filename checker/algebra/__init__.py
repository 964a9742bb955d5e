"""The rule language: a closed set of nodes and the readings of it. Standard library only."""
