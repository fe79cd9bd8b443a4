"""Words that can be drawn: no emoji, no control characters, no glyph that the fonts lack."""

import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime
from functools import lru_cache
from importlib.util import find_spec
from itertools import groupby

from matplotlib import font_manager

from analysis.day_names import is_numbered, name_span

SERIF = "STIXGeneral"
SANS = "DejaVu Sans"
# Both ship with matplotlib. These do not, and serve where the system happens to have one of them; that for
# Chinese, Japanese and Korean also comes with the optional package below.
WIDER = ("Noto Sans CJK JP", "Noto Sans CJK SC", "Noto Sans CJK KR", "Noto Sans Devanagari", "Noto Sans Thai")

MISSING = "·"


@lru_cache(maxsize=1)
def families() -> tuple[str, ...]:
    """Return the font families to draw with, in the order in which they are asked for a glyph."""
    if find_spec("noto_cjk_sans_jp_regular"):
        from noto_cjk_sans_jp_regular import FONT_PATH

        font_manager.fontManager.addfont(str(FONT_PATH))
    installed = {font.name for font in font_manager.fontManager.ttflist}
    return (SERIF, SANS, *(name for name in WIDER if name in installed))


def font_files() -> list[tuple[str, str]]:
    """Return (family, path) of the fonts that ship with matplotlib and nearly everything is drawn in."""
    return [
        (name, str(font_manager.findfont(font_manager.FontProperties(family=[name]))))
        for name in (SERIF, SANS)
    ]


@lru_cache(maxsize=1)
def _drawable() -> frozenset[int]:
    glyphs: set[int] = set()
    for family in families():
        wanted = font_manager.FontProperties(family=[family])
        glyphs.update(font_manager.get_font(font_manager.findfont(wanted)).get_charmap())
    return frozenset(glyphs)


def _left_out(char: str) -> bool:
    """Emoji with what modifies them, and invisible characters."""
    code = ord(char)
    return (
        unicodedata.category(char) in ("Cc", "Cf")
        or 0xFE00 <= code <= 0xFE0F
        or code == 0x20E3
        or 0x1F000 <= code <= 0x1FAFF
        or (code >= 0x2300 and unicodedata.category(char) == "So")
    )


def name_of(title: str, slot: str) -> str:
    """Return what was eaten, as far as it can be drawn; the slot where fewer than half of its letters can.

    >>> name_of("Porridge 🥣", "breakfast"), name_of("🍕", "dinner")
    ('Porridge', 'Dinner')
    >>> name_of("\U00013000\U00013001 80 g", "lunch")
    'Lunch'
    """
    drawable = plain(title)
    letters = sum(char.isalpha() for char in unicodedata.normalize("NFC", title))
    drawn = sum(char.isalpha() for char in drawable)
    named = 2 * drawn >= letters if letters else any(char.isalnum() for char in drawable)
    return drawable if named else slot.capitalize()


def plain(text: str) -> str:
    """Make `text` drawable on one line.

    Emoji and invisible characters go; white space becomes single spaces; a run of characters that no font
    has becomes one "·".

    >>> plain("porridge 🥣 \\n with  pear"), plain("\\U00013000\\U00013001 80 g")
    ('porridge with pear', '· 80 g')
    """
    spaced = " ".join(unicodedata.normalize("NFC", text).split())
    kept = [char for char in spaced if not _left_out(char)]
    runs = groupby(kept, key=lambda char: ord(char) in _drawable())
    return " ".join("".join("".join(run) if known else MISSING for known, run in runs).split())


def write_days(first: date, last: date) -> str:
    """Write a run of days, with years where it has two.

    >>> write_days(date(2026, 3, 2), date(2026, 3, 8)), write_days(date(2026, 3, 28), date(2026, 4, 3))
    ('2 to 8 March', '28 March to 3 April')
    >>> write_days(date(2026, 3, 2), date(2026, 3, 2)), write_days(date(2025, 12, 28), date(2026, 1, 3))
    ('2 March', '28 Dec 2025 to 3 Jan 2026')
    """
    if is_numbered(first):
        return name_span(first, last)
    if first == last:
        return f"{last.day} {last:%B}"
    if first.year != last.year:
        return f"{first.day} {first:%b %Y} to {last.day} {last:%b %Y}"
    month = "" if first.month == last.month else f" {first:%B}"
    return f"{first.day}{month} to {last.day} {last:%B}"


def _by_24_hours(minute: float) -> str:
    return f"{int(minute) // 60:02d}:{int(minute) % 60:02d}"


_minute: ContextVar[Callable[[float], str]] = ContextVar("minute", default=_by_24_hours)
_hour: ContextVar[Callable[[float], str]] = ContextVar("hour", default=_by_24_hours)


@contextmanager
def writing_times(minute: Callable[[float], str], hour: Callable[[float], str]) -> Iterator[None]:
    """Draw with other ways to write a minute of the day, and a whole hour under an axis, passed in here."""
    tokens = _minute.set(minute), _hour.set(hour)
    try:
        yield
    finally:
        _minute.reset(tokens[0])
        _hour.reset(tokens[1])


def write_minute(minute: float) -> str:
    """Write a minute of the day as its clock does.

    >>> write_minute(430), write_minute(1440)
    ('07:10', '24:00')
    """
    return _minute.get()(minute)


def write_hour(minute: float) -> str:
    """Write the minute at which an hour begins, under an axis."""
    return _hour.get()(minute)


def write_time(local: datetime) -> str:
    """Write the time of day of a local instant."""
    return write_minute(60 * local.hour + local.minute)
