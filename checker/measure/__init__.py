"""From a site to named amounts, each with the trace of how it came about."""
