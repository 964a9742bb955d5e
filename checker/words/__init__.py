"""How amounts, findings, statuses and changes are said: one number, one text."""
