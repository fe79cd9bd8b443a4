"""Texts for translators: `python -m tests.texts` brings the catalogues of `bot/language/` up to date.

It collects every text that the code says (`say`, `say_count`, `later`) into `texts.pot`, takes it over into
each language's `.po` (new ones empty, gone ones left out), and makes the `.mo` that the bot reads. To begin a
language, add it to `LANGUAGES` in `bot/language/texts.py` and run this. `--check` changes nothing and says
what is not current.
"""

import sys
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from bot.language.texts import LANGUAGES
from bot.reply.glossary import entries

ROOT = Path(__file__).parent.parent
HOME = ROOT / "bot" / "language"
KEYWORDS = {"say": None, "later": None, "say_count": (1, 2)}
WIDTH = 110
SOME_DAY = datetime(2026, 1, 1, tzinfo=UTC)
"""The catalogues' date, so that the same texts make the same bytes."""


def collect() -> Catalog:
    """Return the texts of the code."""
    found = _empty(None)
    for path in sorted((ROOT / "bot").rglob("*.py")):
        with path.open("rb") as file:
            for _, text, _, _ in extract("python", file, KEYWORDS):
                found.add(text)
    for text in dict.fromkeys(entries().values()):
        found.add(text)
    return found


def take_over(texts: Catalog, language: str) -> Catalog:
    """Return a language's catalogue with these texts and what is translated of them."""
    path = HOME / f"{language}.po"
    known = _empty(language)
    if path.exists():
        with path.open("rb") as file:
            known = read_po(file, locale=language)
    merged = _empty(language)
    for message in texts:
        if message.id:
            old = known.get(message.id)
            merged.add(message.id, old.string if old is not None and old.id == message.id else "")
    return merged


def _empty(language: str | None) -> Catalog:
    return Catalog(
        locale=language, project="tablenote", version="-", header_comment="# Texts of tablenote.",
        creation_date=SOME_DAY, revision_date=SOME_DAY, fuzzy=False, charset="utf-8",
        last_translator="", language_team="", msgid_bugs_address="",
    )  # fmt: skip


def files() -> dict[Path, bytes]:
    """Return each file as it should be."""
    texts = collect()
    made = {HOME / "texts.pot": _written(texts)}
    for language in LANGUAGES:
        if language != "en":
            catalogue = take_over(texts, language)
            made[HOME / f"{language}.po"] = _written(catalogue)
            compiled = BytesIO()
            write_mo(compiled, _translated(catalogue, language))
            made[HOME / f"{language}.mo"] = compiled.getvalue()
    return made


def _translated(catalogue: Catalog, language: str) -> Catalog:
    """Return a catalogue without what is not translated yet, which is then said in English."""
    done = _empty(language)
    for message in catalogue:
        strings = message.string if isinstance(message.string, tuple | list) else (message.string,)
        if message.id and all(strings):
            done.add(message.id, message.string)
    return done


def _written(catalogue: Catalog) -> bytes:
    into = BytesIO()
    write_po(into, catalogue, width=WIDTH, no_location=True, sort_output=True)
    return into.getvalue()


def stale() -> list[str]:
    """Return the names of the files that are not current."""
    return [path.name for path, data in files().items() if not path.exists() or path.read_bytes() != data]


if __name__ == "__main__":
    behind = stale()
    if "--check" not in sys.argv:
        for path, data in files().items():
            path.write_bytes(data)
    print(f"not current: {', '.join(behind)}" if behind else "all current")
    sys.exit("--check" in sys.argv and bool(behind))
