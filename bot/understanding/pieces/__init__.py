"""Times, amounts and the names of meals, found among the words."""
