"""What habits around a meal do to its response: levers, judged jointly with all that was eaten."""
