"""The ways in and out: a messenger, the terminal, a script."""
