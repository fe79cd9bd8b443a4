"""What can go wrong with a database file while it is in use, without any read of it failing."""

import shutil

from bot.store.store import parse_url, sqlite_file

LEAST_FREE = 50_000_000
"""Bytes: below that, the next copy or a busy week may fill the disk."""


def file_faults(url: str) -> list[str]:
    """Return what is wrong with the file of a database and its disk, in words; nothing for another kind.

    A file that was deleted goes on being read and written by who has it open, and is gone when they end.
    """
    file = sqlite_file(parse_url(url))
    if file is None:
        return []
    if not file.exists():
        return ["the database file is gone"]
    return ["the disk is nearly full"] if shutil.disk_usage(file.parent).free < LEAST_FREE else []
