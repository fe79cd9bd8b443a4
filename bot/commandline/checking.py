"""What `tablenote check` looks at: each thing that the bot needs, and in plain words what to mend.

A check returns "" where all is well, or the sentence. What a check cannot find out is a fault, too; what does
not concern this install is `Beside`.
"""

import os
import shutil
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from email.utils import parsedate_to_datetime
from pathlib import Path
from zoneinfo import available_timezones

from bot.model.errors import StoreError, TablenoteError
from bot.model.settings import Settings
from bot.store.copies import check_whole, copies_folder, is_copy_due, kept_copies
from bot.store.store import is_current, parse_url, sqlite_file

LEAST_FREE = 200_000_000
"""Bytes that should be free on the disk of the database: a month of one person takes some 5 MB."""
_MB = 1_000_000
CLOCK_OFF = timedelta(seconds=60)
_PUBLIC = "https://api.telegram.org"
_WAIT_S = 10.0


class Beside(Exception):
    """Raised by a check that has nothing to look at: its words say why, and nothing is to be mended."""


def find_faults(settings: Settings, now: datetime) -> Iterator[tuple[str, str, bool]]:
    """Give, one after the other, what was looked at, what is to be said of it, and whether it is a fault."""
    checks: dict[str, Callable[[Settings, datetime], str]] = {
        "settings": _check_settings,
        "database": _check_database,
        "disk": _check_disk,
        "copies": _check_copies,
        "token": _check_token,
        "clock": _check_clock,
        "time zones": _check_zones,
        "food table": _check_foods,
        "fonts": _check_fonts,
    }
    for about, check in checks.items():
        try:
            fault = check(settings, now)
        except Beside as why:
            yield about, str(why), False
        except (TablenoteError, OSError) as error:
            yield about, str(error), True
        else:
            yield about, fault or "fine", bool(fault)


def _check_settings(settings: Settings, _now: datetime) -> str:
    if settings.webhook_url and not settings.webhook_secret:
        return "TABLENOTE_WEBHOOK_SECRET is not set, so anybody could push messages: set a long random word."
    if settings.allowed == "open":
        return "TABLENOTE_ALLOWED is open, so anybody may talk to it. Leave it empty, or name chat numbers."
    return ""


def _check_database(settings: Settings, _now: datetime) -> str:
    file = sqlite_file(parse_url(settings.db))
    if file is not None:
        if not file.exists():
            return f"There is no database {file} yet: tablenote chat or serve makes it."
        check_whole(settings.db)
        if file.stat().st_mode & 0o077:
            return f"Others on this machine can read {file}. Mend it with: chmod 600 {file}"
    try:
        current = is_current(settings.db)
    except StoreError as error:
        raise StoreError(f"{error} See that it runs, and that TABLENOTE_DB names it.") from error
    if not current:
        return "It has the tables of another version: serve or chat brings older ones up to date at a start."
    return ""


def _check_disk(settings: Settings, _now: datetime) -> str:
    file = sqlite_file(parse_url(settings.db))
    if file is None:
        return ""
    folder = next(parent for parent in file.absolute().parents if parent.exists())
    free = shutil.disk_usage(folder).free
    if free < LEAST_FREE:
        return (
            f"Only {free // _MB} MB are free where {file} lies: make room, at least {LEAST_FREE // _MB} MB."
        )
    return "" if os.access(folder, os.W_OK) else f"{folder} cannot be written: give this user the right to."


def _check_copies(settings: Settings, now: datetime) -> str:
    folder = copies_folder(settings.db)
    if folder is None:
        raise Beside("not made here: let your database make its own backups")
    if not settings.copies:
        return "TABLENOTE_COPIES is 0, so no copies are kept. Leave it empty for one a day, seven kept."
    if not kept_copies(folder):
        return "There is no copy yet: serve makes one a day, or run tablenote backup."
    if is_copy_due(folder, now - timedelta(hours=1)):
        return "The newest copy is older than a day: see that serve runs, or run tablenote backup."
    return ""


def _check_token(settings: Settings, _now: datetime) -> str:
    if not settings.token:
        raise Beside("not set, which only serve needs: TABLENOTE_TOKEN")
    from bot.channels.telegram_inviting import find_name

    find_name(settings.token, settings.api_url)
    return ""


def _check_clock(settings: Settings, now: datetime) -> str:
    """Compare with what the messenger's server says; reminders and meals go by this machine's clock."""
    if not settings.token:
        raise Beside("not compared, as there is no token to ask the messenger's server with")
    address = settings.api_url or _PUBLIC
    request = urllib.request.Request(address, method="HEAD")  # noqa: S310  # the settings let in the web only
    try:
        with urllib.request.urlopen(request, timeout=_WAIT_S) as answer:  # noqa: S310
            said = answer.headers["Date"]
    except urllib.error.HTTPError as error:
        said = error.headers["Date"]
    except (OSError, ValueError) as error:
        return f"{address} cannot be reached to compare the clock ({error}): see to the network."
    if not said:
        return f"{address} does not say what time it is, so the clock was not compared."
    off = now - parsedate_to_datetime(said)
    if abs(off) > CLOCK_OFF:
        way = "ahead" if off > timedelta(0) else "behind"
        return f"This machine's clock is {abs(off).total_seconds():.0f} s {way}: set it by network time."
    return ""


def _check_zones(_settings: Settings, _now: datetime) -> str:
    return "" if len(available_timezones()) > 300 else "Time zones are missing: pip install --upgrade tzdata"


def _check_foods(_settings: Settings, _now: datetime) -> str:
    from bot.foodtable import load_table

    found = load_table().match("cooked rice")
    return "" if found else "The food table does not know cooked rice: install tablenote anew."


def _check_fonts(_settings: Settings, _now: datetime) -> str:
    import bot.reply.pictures  # noqa: F401 (first, as it says where fonts are listed)
    from analysis.plots.text import font_files

    gone = [name for name, path in font_files() if not Path(path).is_file()]
    return f"The fonts {' and '.join(gone)} are missing: install matplotlib anew." if gone else ""
