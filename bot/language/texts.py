"""What people read, in their language: whole sentences with named places, looked up by the English text.

`say("From {low} up to {high}.", low="5.2", high="6.4")`. Which language it is, is set once for a turn by
`speaking`, so that no function has to hand it on. English needs no catalogue; the others stand in
`bot/language/<language>.po`, from which `python -m tests.texts` makes the `.mo` that is read here.
"""

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib.resources import files
from typing import Literal

from bot.language.times import ClockStyle, style

Language = Literal["en", "de"]
LANGUAGES: dict[Language, str] = {"en": "English", "de": "Deutsch"}
"""The languages there are, each by its own name."""

_spoken: ContextVar[Language] = ContextVar("spoken", default="en")
_SWAP = str.maketrans(",.", ".,")


def find_language(name: str) -> Language | None:
    """Return the language that a name or code means, None when it is none of ours."""
    said = name.strip().lower()
    known: dict[str, Language] = {"english": "en", "englisch": "en", "german": "de", "deutsch": "de"}
    return known.get(said) or next((code for code in LANGUAGES if code == said), None)


@contextmanager
def speaking(language: Language, clock: ClockStyle | None = None) -> Iterator[None]:
    """Speak a language, and write times by a clock of 24 or 12 hours, in what is done within.

    clock: None for the one that is in use
    """
    token, written = _spoken.set(language), style.set(clock or style.get())
    try:
        yield
    finally:
        _spoken.reset(token)
        style.reset(written)


def spoken() -> Language:
    """Return the language that is spoken now."""
    return _spoken.get()


def say(text: str, **values: object) -> str:
    """Return a text in the language spoken now, with its named places filled."""
    said = _catalogue(_spoken.get()).gettext(text)
    return said.format(**values) if values else said


def say_count(one: str, many: str, n: int, **values: object) -> str:
    """Return the text for one thing or for `n` of them, with its named places filled, `n` among them."""
    return _catalogue(_spoken.get()).ngettext(one, many, n).format(n=write_number(f"{n:,}"), **values)


def later(text: str) -> str:
    """Mark a text that stands in a table and is said later, by `say`; it comes back as it is."""
    return text


def write_number(english: str) -> str:
    """Return a number, written as in English, with the comma and point of the language: 5,4 and 8.064."""
    return english if _spoken.get() == "en" else english.translate(_SWAP)


@cache
def _catalogue(language: Language) -> gettext.NullTranslations:
    if language == "en":
        return gettext.NullTranslations()
    with files(__package__ or "").joinpath(f"{language}.mo").open("rb") as file:
        return gettext.GNUTranslations(file)
