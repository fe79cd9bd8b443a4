"""What is passed between the rooms: entries, messages, units, settings, clock; values and no behaviour."""
