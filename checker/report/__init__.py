"""Findings as pages: wording, rounding, drawing and rendering."""
