"""Which of the possible readings of a message is taken."""
