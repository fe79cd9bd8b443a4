"""A new user's month with the bot: generated (`script`), played by the clock (`play`), counted (`counts`)."""
