"""The least change that meets the rules, with its proof."""
