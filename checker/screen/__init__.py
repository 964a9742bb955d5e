"""A whole town at once: the lots and surfaces of its layers, judged by columns of numbers."""
