"""Results drawn: every function returns a Figure; nothing is shown or saved here."""
