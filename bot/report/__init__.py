"""The report at the end of a run: one page to keep, with its pictures in it."""
