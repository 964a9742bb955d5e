"""Measures of the pavement section below a surface, and what is made of it."""
