"""Soakline: scores lots and their surfaces against editable coverage and drainage rules."""
