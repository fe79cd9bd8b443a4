"""Whole turns on a bot with a month of data: whatever is sent, an answer comes, and in time."""
