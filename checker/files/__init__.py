"""Text to checked shapes: the only home of YAML and of shape checking."""
