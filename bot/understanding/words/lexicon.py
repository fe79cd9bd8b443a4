"""The words that understanding turns on, by tag, as the `lexicon.toml` of each room holds them."""

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

_ROOMS = Path(__file__).parent.parent
Table = dict[str, str]


class Tags:
    """Every tag as an attribute; one that is not there is a mistake in the code.

    >>> "soup" in TAGS.filler, "the" in TAGS.filler, "ate" in TAGS.eating
    (False, True, True)
    """

    def __init__(self, folder: Path) -> None:
        for module in _modules(folder):
            for tag, words in module.items():
                if tag in vars(self):
                    raise ValueError(f"{tag} is a tag already")
                if not isinstance(words, dict):
                    vars(self)[tag] = frozenset(words.split() if isinstance(words, str) else words)

    if TYPE_CHECKING:

        def __getattr__(self, tag: str) -> frozenset[str]: ...


def _modules(folder: Path) -> list[dict[str, str | list[str] | Table]]:
    files = sorted(folder.glob("*/lexicon.toml"))
    return [module for file in files for module in tomllib.loads(file.read_text(encoding="utf-8")).values()]


TAGS = Tags(_ROOMS)
TABLES = {
    name: table for module in _modules(_ROOMS) for name, table in module.items() if isinstance(table, dict)
}


def table_of(name: str) -> Table:
    """Return one table of a lexicon as it is written."""
    return TABLES[name]


def meanings(name: str) -> dict[str, Any]:
    """Return a table of words, a meaning to a line, by the words.

    >>> meanings("size")["tiny"]
    'small'
    """
    return {word: meaning for meaning, words in TABLES[name].items() for word in words.split()}
