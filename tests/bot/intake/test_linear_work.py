"""Work and memory grow with a file's size and no faster, along each dimension that a file has.

Each kind of file is read at one size and at four times it, with every dimension at four times as well: work
in proportion takes four times as long, work by the square sixteen. Time is the processor's, the best of
three, and the line is drawn at nine; memory is what Python allocates at most, the same on every machine.
"""

import gzip
import io
import json
import time
import tracemalloc
import zipfile
from collections.abc import Callable
from contextlib import suppress

import pytest

from bot.intake import read_file
from bot.model.errors import BadFile
from tests.bot.intake.files import VIENNA

TIMES = 4
MOST_TIMES_LONGER, MOST_TIMES_MORE = 9, 6
AT = "2026-03-02T08:00:00Z"
LOINC = {"coding": [{"system": "http://loinc.org", "code": "99504-3"}]}


def rows(count: int) -> list[dict[str, object]]:
    return [
        {"time": f"2026-03-{1 + i // 1440 % 28:02d}T{i // 60 % 24:02d}:{i % 60:02d}:00Z", "glucose": 5.4}
        for i in range(count)
    ]


def empty_members(n: int) -> bytes:
    return gzip.compress(b"") * (20_000 * n)


def small_members(n: int) -> bytes:
    return gzip.compress(b"time;glucose mmol/L\n") + gzip.compress(b"2026-03-02 08:00;5.4\n") * (10_000 * n)


def scalars_around_rows(n: int) -> bytes:
    return json.dumps({f"k{i}": i for i in range(300 * n)} | {"readings": rows(800 * n)}).encode()


def long_value_around_rows(n: int) -> bytes:
    return json.dumps(
        {"note": "-" * 40_000 * n, "readings": rows(20) + [{"trend": "-"}] * (500 * n)}
    ).encode()


def scalars_around_days(n: int) -> bytes:
    days = {f"{2000 + i // 336}-{1 + i // 28 % 12:02d}-{1 + i % 28:02d}": rows(1) for i in range(700 * n)}
    return json.dumps({f"k{i}": i for i in range(700 * n)} | days).encode()


def long_key_around_keys(n: int) -> bytes:
    return json.dumps(
        {"k" * 20_000 * n: {f"a{i}": i for i in range(1_000 * n)}, "readings": rows(9)}
    ).encode()


def columns_by_number(n: int) -> bytes:
    columns = {f"time{i}": {"0": 1} for i in range(500 * n)}
    return json.dumps({"time": {str(i): AT for i in range(500 * n)}} | columns).encode()


def many_tables(n: int) -> bytes:
    return json.dumps({f"list{i}": rows(1) for i in range(240 * n)} | {"all": rows(1_500 * n)}).encode()


def workbook(n: int) -> bytes:
    """Write a sheet named many times whose rows all show one long text."""
    cells = '<c t="s"><v>0</v></c><c t="str"><v>2026-03-02 08:00</v></c><c><v>5.4</v></c>'
    parts = {
        "[Content_Types].xml": "<Types/>",
        "xl/workbook.xml": '<workbook xmlns:r="x"><sheets>'
        + '<sheet name="a" r:id="r1"/>' * (20 * n)
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": '<Relationships><Relationship Id="r1" Type="x/worksheet" '
        'Target="worksheets/s.xml"/></Relationships>',
        "xl/worksheets/s.xml": "<worksheet>" + f"<row>{cells}</row>" * (300 * n) + "</worksheet>",
        "xl/sharedStrings.xml": "<sst><si><t>" + "- " * 20_000 * n + "</t></si></sst>",
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for path, text in parts.items():
            book.writestr(path, text)
    return out.getvalue()


def day_above_clocks(n: int) -> bytes:
    head = "date;time;glucose mmol/L\n" + "".join(f"2026-03-02;0{i % 10}:00;5.4\n" for i in range(200))
    return (head + "x" * 40_000 * n + ";08:00;5.4\n" + ";08:01;5.4\n" * (1_000 * n)).encode()


def zones(n: int) -> bytes:
    names = ("Europe/Vienna", "Europe/Paris", "Asia/Tokyo", "America/Lima")
    lines = [f"{at['time'][:16]};5.4;{names[i % 4]}\n" for i, at in enumerate(rows(2_000 * n))]  # type: ignore[index]
    return ("time;glucose mmol/L;time zone\n" + "".join(lines)).encode()


def long_words_of_observations(n: int) -> bytes:
    part = {"code": LOINC, "valueQuantity": {"value": 5.4, "unit": "mmol/L"}}
    return json.dumps(
        {
            "resourceType": "Observation",
            "status": "final",
            "code": LOINC,
            "subject": {"reference": "p " * 5_000 * n},
            "effectiveDateTime": AT,
            "specimen": {"display": "s " * 5_000 * n},
            "component": [part] * (500 * n),
        }
    ).encode()


def columns_and_rows(n: int) -> bytes:
    wide = ";1" * (40 * n)
    return ("time;glucose mmol/L\n" + f"2026-03-02 08:00;5.4{wide}\n" * (300 * n)).encode()


BOTH_GROW = {columns_and_rows}  # its size grows with the product of its dimensions
FILES = [
    empty_members, small_members, scalars_around_rows, long_value_around_rows, scalars_around_days,
    long_key_around_keys, columns_by_number, many_tables, workbook, day_above_clocks, zones,
    long_words_of_observations, columns_and_rows,
]  # fmt: skip


def read(data: bytes) -> None:
    with suppress(BadFile):
        read_file(data, "x", zone=VIENNA)


def time_of(data: bytes) -> float:
    def once() -> float:
        begun = time.process_time()
        read(data)
        return time.process_time() - begun

    return min(once() for _ in range(3))


def peak_of(data: bytes) -> int:
    tracemalloc.start()
    try:
        read(data)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("make", FILES, ids=lambda make: make.__name__)
def test_time_and_memory_grow_with_the_size(make: Callable[[int], bytes]) -> None:
    small, large = make(1), make(TIMES)
    grown = len(large) / len(small) / TIMES if make in BOTH_GROW else 1
    read(small)  # what is built once is built now
    # a hundredth of a second more: the size below which a clock says little
    assert time_of(large) < MOST_TIMES_LONGER * grown * time_of(small) + 0.01
    assert peak_of(large) < MOST_TIMES_MORE * grown * peak_of(small) + 500_000
