"""Drainage of a site: planes, catchments, the network, storms through it, and their measures."""
