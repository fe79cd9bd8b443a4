"""A question -> which analysis, which words, which picture."""
