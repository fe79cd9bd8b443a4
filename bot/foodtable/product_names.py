"""The names of all packaged products in capitals, each with its place in the data file: small enough to look
through while somebody waits for an answer. Kept beside the other food cache."""

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from platformdirs import user_cache_path

from bot.foodtable.caching import keep
from bot.foodtable.composition import find_data_file

CACHE_NAME = "products.txt"
FORMAT = 1
MARK = b",branded_food,"


def read_names(cache_dir: Path | None = None) -> bytes:
    """Return a line for each name: the name, a tab, the place of its first product; made where not kept.

    The first line says of which data file the rest is. Making it takes about a second, reading it some
    thousandths.
    """
    stat = find_data_file().stat()
    key = f"{FORMAT} {stat.st_size} {stat.st_mtime_ns}\n".encode()
    cache = (cache_dir or user_cache_path("tablenote")) / CACHE_NAME
    with suppress(OSError):
        kept = cache.read_bytes()
        if kept.startswith(key) and kept.endswith(b"\n\n"):
            return kept
    kept = key + b"".join(_lines(find_data_file().read_bytes())) + b"\n"
    keep(cache, kept)
    return kept


def _lines(data: bytes) -> Iterator[bytes]:
    in_capitals = data.upper()  # of ASCII only, so that every place stays where it is
    seen: set[bytes] = set()
    at = data.find(MARK)
    while at >= 0:
        start = data.rfind(b"\n", 0, at) + 1
        name = in_capitals[start:at]
        if name not in seen:
            seen.add(name)
            yield b"%s\t%d\n" % (name, start)
        at = data.find(MARK, at + len(MARK))


def names_with(names: bytes, word: bytes) -> Iterator[tuple[bytes, int]]:
    """Yield the name and place of every product whose name holds these letters."""
    at = names.find(word)
    while at >= 0:
        start, end = names.rfind(b"\n", 0, at) + 1, names.find(b"\n", at)
        name, tab, place = names[start:end].rpartition(b"\t")
        if tab and at < start + len(name):
            yield name, int(place)
        at = names.find(word, end)
