"""Time zones by the name of a city, as people say where they are."""

import re
from collections import defaultdict
from functools import cache
from importlib.resources import files
from zoneinfo import available_timezones

# Regions that hold old names and fixed offsets of the same clocks.
_OLD = ("Etc", "US", "Canada", "Brazil", "Chile", "Mexico", "SystemV", "posix", "right")


def find_zones(place: str) -> list[str]:
    """Return the zones that a place names: by its full name, or by the city that the name ends with.

    One city can be the last part of several names (America/Indiana/Knox, America/Knox_IN); nothing found is
    an empty list.
    """
    return _by_city().get(_plain(place), [])


_READ_IN = (
    "bg-BG cs-CZ da-DK de-DE el-GR et-EE fa-IR fi-FI fr-FR he-IL hi-IN hr-HR hu-HU is-IS it-IT ja-JP ko-KR "
    "lt-LT lv-LV nb-NO nl-NL no-NO pl-PL ro-RO sk-SK sl-SI sr-RS sv-SE th-TH tr-TR uk-UA vi-VN"
)
"""Where a language is mostly read, of those read in one region for the most part."""


def zones_of_language(code: str) -> list[str]:
    """Return the zones of the region that a language code names, or that mostly reads it; else none.

    >>> zones_of_language("de")[0], zones_of_language("en-GB"), zones_of_language("en")
    ('Europe/Berlin', ['Europe/London'], [])
    """
    language, _, region = code.replace("_", "-").partition("-")
    return _by_region().get(
        (region or dict(pair.split("-") for pair in _READ_IN.split()).get(language.lower(), "")).upper(), []
    )


@cache
def _by_region() -> dict[str, list[str]]:
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    found: dict[str, list[str]] = defaultdict(list)
    for row in table.splitlines():
        if not row.startswith("#"):
            region, _, key, *_ = row.split("\t")
            found[region].append(key)
    return found


@cache
def _by_city() -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for key in sorted(available_timezones()):
        region, slash, rest = key.partition("/")
        if not slash or region in _OLD:
            continue
        found[_plain(key)].append(key)
        city = _plain(rest.rpartition("/")[2])
        if city != _plain(key):
            found[city].append(key)
    return {name: _prefer(keys) for name, keys in found.items()}


def _prefer(keys: list[str]) -> list[str]:
    """Leave out a longer name where a shorter one in the same region has the same city."""
    short = {(key.split("/")[0], key.split("/")[-1]): key for key in sorted(keys, key=len, reverse=True)}
    return sorted(short.values())


def _plain(name: str) -> str:
    return re.sub(r"[\s_-]+", " ", name.strip().lower())
