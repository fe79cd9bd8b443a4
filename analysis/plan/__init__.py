"""What to eat or try next, so that the rest of a run tells most."""
