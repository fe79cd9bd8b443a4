"""Word lists are written as one string of words."""


def word_set(words: str) -> frozenset[str]:
    """Return the words of a string as a set."""
    return frozenset(words.split())
