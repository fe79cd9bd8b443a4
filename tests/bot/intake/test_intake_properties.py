"""Whatever the bytes, only BadFile; whatever the layout, the same readings back."""

import io
import zipfile
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.intake import read_file
from bot.intake.specimens import BLOOD
from bot.model.errors import BadFile
from bot.model.units import MGDL_PER_MMOL
from tests.bot.intake.files import VIENNA, Style, write
from tests.intake.cases import CASES
from tests.intake.writing import zipped

SCRAPS = st.sampled_from(
    ["2026-03-02 08:00", "02.03.2026", "08:00", "5.4", "5,4", "104", "LO", "<2.2", "time", "glucose mmol/L",
     "mg/dL", ",", ";", "\t", "|", " ", "\n", "\r\n", '"', "'", "\ufeff", "1772434800", "T", "am", "-", "é",
     "99999999999", "\u00b9", "\u2462", "\u0664"]
)  # fmt: skip
SOUP = st.lists(SCRAPS, max_size=60).map("".join)


def check(data: bytes) -> None:
    """Read any bytes: readings that make sense, or a BadFile in one short sentence."""
    try:
        found = read_file(data, "x", zone=VIENNA, now=datetime(2026, 6, 1, tzinfo=UTC))
    except BadFile as error:
        sentence = str(error)
    else:
        sentence = ""
    assert "\n" not in sentence
    assert len(sentence) < 300
    if sentence:
        return
    assert found.readings or found.limits
    assert all(1.0 <= r.mmol <= 33.3 and r.at is not None for r in found.readings)
    kinds = [specimen in BLOOD for specimen in found.specimens or [""] * len(found.readings)]
    assert len(set(zip(found.instants, kinds, strict=True))) == len(found.readings)
    assert found.flagged == len(found.limits)


@given(st.one_of(st.binary(max_size=400), SOUP.map(str.encode), st.text(max_size=200).map(str.encode)))
@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_bytes_are_readings_or_a_bad_file(data):
    check(data)


@pytest.mark.parametrize("digit", ["\u00b9", "\u2462", "\u0bf0"])
def test_a_digit_that_is_no_number_breaks_nothing(digit):
    """Superscripts, circled and old numerals are digits to the language and no number to it."""
    for cells in (f"5,{digit}", f"{digit},4", f"{digit}1,4"):
        check("\n".join(f"2026-03-02 08:{m:02},{cells}" for m in range(0, 60, 5)).encode())
        check(
            "\n".join(["time,mmol/L", *(f"2026-03-02 08:{m:02},{cells}" for m in range(0, 60, 5))]).encode()
        )


@st.composite
def damaged(draw):
    """Draw a file of the acceptance folder, or the inside of its archive, with a few bytes put wrong."""
    data = bytearray(draw(st.sampled_from(SMALL)))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, max(0, len(data) - 1)))
        cut = draw(st.integers(0, 12))
        data[at : at + cut] = draw(st.one_of(st.binary(max_size=6), SCRAPS.map(str.encode), XML_SCRAPS))
    return bytes(data)


SMALL = [case.data for case in CASES if len(case.data) < 6_000]
XML_SCRAPS = st.sampled_from(
    [b'<c r="XFD1048576">', b'r="A1"', b"&x;", b"1e999", b"-1", b"[", b"{", b"]]", b"null"]
)


@given(damaged())
@settings(max_examples=600, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_damaged_files_are_readings_or_a_bad_file(data):
    check(data)


@given(
    st.sampled_from([case for case in CASES if case.name.endswith(".xlsx") and "says" not in case.expected]),
    st.data(),
)
@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_workbooks_with_damaged_parts(case, data):
    with zipfile.ZipFile(io.BytesIO(case.data)) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    name = data.draw(st.sampled_from(sorted(parts)))
    at = data.draw(st.integers(0, len(parts[name])))
    scrap = data.draw(st.one_of(XML_SCRAPS, st.binary(max_size=4)))
    parts[name] = parts[name][:at] + scrap + parts[name][at + data.draw(st.integers(0, 10)) :]
    check(zipped(parts))


STAMPS = {
    "iso": lambda at: [f"{at:%Y-%m-%d %H:%M:%S}"],
    "offset": lambda at: [at.isoformat()],
    "points": lambda at: [f"{at:%d.%m.%Y %H:%M:%S}"],
    "months first": lambda at: [f"{at:%m/%d/%Y %I:%M:%S %p}"],
    "days first": lambda at: [f"{at:%d/%m/%Y %H:%M:%S}"],
    "named": lambda at: [f"{at:%d %B %Y %H:%M:%S}"],
    "apart": lambda at: [f"{at:%Y-%m-%d}", f"{at:%H:%M:%S}"],
    "epoch": lambda at: [f"{at.timestamp():.0f}"],
}
LANGUAGES = {
    "en": ("date", "time", "glucose"),
    "de": ("Datum", "Uhrzeit", "Glukose"),
    "fr": ("date", "heure", "glycémie"),
    "es": ("fecha", "hora", "glucosa"),
    None: None,
}


@st.composite
def files(draw):
    """Draw readings of at least two days, and a style in which nothing is open."""
    step = draw(st.sampled_from([1, 5, 15]))
    start = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=draw(st.integers(0, 520_000)))
    counts = sorted(
        draw(st.sets(st.integers(0, 3 * 1440 // step), min_size=20, max_size=60)) | {0, 3 * 1440 // step}
    )
    values = draw(st.lists(st.integers(22, 180), min_size=len(counts), max_size=len(counts)))
    pairs = [(start + timedelta(minutes=step * n), v / 10) for n, v in zip(counts, values, strict=True)]
    if any(at.astimezone(VIENNA).utcoffset() != start.astimezone(VIENNA).utcoffset() for at, _ in pairs):
        pairs = [(at + timedelta(days=7), v) for at, v in pairs]  # changes of the clocks have their own tests
    kind = draw(st.sampled_from(sorted(STAMPS)))
    words = LANGUAGES[draw(st.sampled_from(list(LANGUAGES)))]
    mgdl = draw(st.booleans())
    separator = draw(st.sampled_from([";", "\t", "|", ","]))
    comma = separator != "," and draw(st.booleans())

    def value(mmol: float) -> list[str]:
        text = f"{mmol * MGDL_PER_MMOL:.1f}" if mgdl else f"{mmol:.1f}"
        return [text.replace(".", ",") if comma else text]

    unit = "mg/dL" if mgdl else "mmol/L"
    header = None if words is None else [*words[: 2 if kind == "apart" else 1], f"{words[2]} ({unit})"]
    if header and draw(st.booleans()):
        header = [f'"{cell}"' for cell in header]
    style = Style(
        stamp=STAMPS[kind],
        value=value,
        separator=separator,
        header=header,
        preamble=draw(
            st.lists(
                st.sampled_from(["", "A record of one person", "weeks: 2", "# made by hand"]), max_size=4
            )
        ),
        newline=draw(st.sampled_from(["\n", "\r\n", "\r"])),
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"])),
    )
    if draw(st.booleans()):
        pairs = pairs[::-1]
    return pairs, style


@given(files())
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_written_in_any_layout_and_read_back_they_are_the_same(drawn):
    pairs, style = drawn
    found = read_file(write(pairs, style), "x.csv", zone=VIENNA)
    assert [r.at for r in found.readings] == sorted(at for at, _ in pairs)
    assert [r.mmol for r in found.readings] == pytest.approx(
        [v for _, v in sorted(pairs)], abs=0.05 / MGDL_PER_MMOL + 1e-9
    )
    assert (found.skipped, found.flagged, found.duplicates) == (0, 0, 0)


def test_reading_twice_gives_the_same():
    data = write([(datetime(2026, 3, 2, 8, tzinfo=UTC), 5.4)], Style())
    assert read_file(data, "x", zone=VIENNA) == read_file(data, "x", zone=VIENNA)
