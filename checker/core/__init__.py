"""What every layer stands on: problems in files, units, sources and the register of formulas."""
