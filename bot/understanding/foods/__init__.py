"""Which foods were eaten, how much of each, and which meal they belong to."""
