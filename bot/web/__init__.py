"""The bot's own HTTP door: readings that programs post, and what a messenger pushes."""
