"""Changes of what was noted before."""
