"""Many people at once, on the loopback interface: `python -m tests.load --help`."""
