"""Drawings to scale, as SVG: the plan, the drainage plan, the section, charts."""
