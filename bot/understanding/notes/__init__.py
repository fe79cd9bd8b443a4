"""A note cut into clauses, each read, and put together again as entries."""
