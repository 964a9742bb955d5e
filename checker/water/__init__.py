"""Drainage: formulas on plain numbers. Knows no site and no file."""
