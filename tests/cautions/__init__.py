"""What is said where something calls for a caution, phrase by phrase, and where nothing does."""
