"""What is asked of the bot."""
