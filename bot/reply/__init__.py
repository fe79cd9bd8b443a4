"""What people read and look at: results in words, in the person's unit and clock, and as pictures."""
