"""One-person trials: what is agreed before, which servings count, and what may be said of the pairs."""
