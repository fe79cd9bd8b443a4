"""Keeps what took long to make beside the person's data, so that the next start need not make it again."""

import os
from contextlib import suppress
from pathlib import Path


def keep(cache: Path, content: bytes) -> None:
    """Write a cache whole or not at all; where that cannot be done, only the next start is slower."""
    part = cache.with_name(f"{cache.name}.{os.getpid()}")
    try:
        cache.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(cache)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)
