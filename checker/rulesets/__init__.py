"""Rule sets: what a place asks, which version is in force, and its worked examples."""
