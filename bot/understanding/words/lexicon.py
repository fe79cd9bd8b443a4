"""The words that understanding turns on, by tag, as `lexicon.toml` holds them."""

import tomllib
from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("lexicon.toml")


@cache
def _tables() -> dict[str, frozenset[str]]:
    tables = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    return {tag: frozenset(table["words"].split()) for tag, table in tables.items()}


def tagged(*tags: str) -> frozenset[str]:
    """Return the words under any of the tags; a tag that is not there is a mistake in the code.

    >>> "soup" in tagged("filler"), "the" in tagged("filler", "eating")
    (False, True)
    """
    return frozenset().union(*(_tables()[tag] for tag in tags))


@cache
def tags_of(word: str) -> frozenset[str]:
    """Return the tags that a word stands under.

    >>> sorted(tags_of("ate"))
    ['eating']
    """
    return frozenset(tag for tag, words in _tables().items() if word in words)
