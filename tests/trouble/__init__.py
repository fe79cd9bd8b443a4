"""The whole bot under trouble: killed at random, and with a messenger that fails."""
