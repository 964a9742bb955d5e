"""A page as a tree of blocks, and one writer for each format."""
