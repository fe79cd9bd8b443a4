"""The words that understanding turns on, by tag, as the `lexicon.toml` of each room holds them."""

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

_ROOMS = Path(__file__).parent.parent


class Tags:
    """Every tag as an attribute; one that is not there is a mistake in the code.

    >>> "soup" in TAGS.filler, "the" in TAGS.filler, "ate" in TAGS.eating
    (False, True, True)
    """

    def __init__(self, folder: Path) -> None:
        for file in sorted(folder.glob("*/lexicon.toml")):
            for table in tomllib.loads(file.read_text(encoding="utf-8")).values():
                for tag, words in table.items():
                    if tag in vars(self):
                        raise ValueError(f"{file}: {tag} is a tag already")
                    vars(self)[tag] = frozenset(words.split() if isinstance(words, str) else words)

    if TYPE_CHECKING:

        def __getattr__(self, tag: str) -> frozenset[str]: ...


TAGS = Tags(_ROOMS)
