"""What can be shown to anybody tells of nobody: no name, date, chat, zone or word of theirs is in it."""

import re
import zlib
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.day_names import begin_numbered
from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Activity, Fact, Feeling, Item, Meal, Nutrients, Reading, Sensor, Sleep, Sync
from bot.report.scrubbed import scrubbed
from bot.report.sending import report_between

CHAT = "tg:918273645"
ZONE = ZoneInfo("Europe/Lisbon")
DAYS = 4
own_words = st.text("bdfgklmnprtvz", min_size=7, max_size=7).map(lambda word: f"q{word}x")
"""Words that stand in no sentence of ours, and in no encoding of a font."""


@given(
    words=st.lists(own_words, min_size=9, max_size=9, unique=True),
    first=st.dates(date(2025, 1, 1), date(2026, 12, 1)),
    pdf=st.booleans(),
)
@settings(max_examples=3, deadline=None, derandomize=True)
def test_nothing_of_the_person_is_in_it(words: list[str], first: date, pdf: bool) -> None:
    start = datetime.combine(first, datetime.min.time(), ZONE).astimezone(UTC)
    until = start + timedelta(days=DAYS)
    app = App("sqlite://", zone=ZONE.key, unit="mmol/L", clock=SettableClock(until))
    try:
        _live(app, start, words)
        with app.store.read() as tx:
            person = tx.people.get(CHAT)
            assert person is not None
            made = report_between(tx, person, start, until, version="share", pdf=pdf)
    finally:
        app.close()
    text = _everything(made) if pdf else made.decode()
    assert "own food 1" in text.lower()
    told = text.casefold()
    days = [first + timedelta(days=k) for k in range(-1, DAYS + 1)]
    dates = [
        form for day in days for form in (f"{day:%Y-%m-%d}", f"{day.day} {day:%b}", f"{day.day} {day:%B}")
    ]
    for secret in (*words, CHAT, "918273645", ZONE.key, "Lisbon", "UTC", "WEST", *dates):
        assert not re.search(rf"(?<![\w.]){re.escape(secret.casefold())}(?![\w])", told), secret
        if secret in words:
            assert secret.casefold() not in told


def _live(app: App, start: datetime, words: list[str]) -> None:
    """Note some days in which every place for words of one's own holds one."""
    own, unknown, said, called, feeling, shift, rule, fact, private = words
    eaten = Nutrients(energy_kcal=300.0, carbs_g=50.0, fibre_g=5.0, fat_g=5.0, protein_g=9.0)
    with app.store.begin() as tx:
        tx.people.ensure(CHAT, zone=ZONE.key, unit="mmol/L", at=start)
        tx.rules.add(CHAT, f"never {rule}", start)
        tx.facts.keep(CHAT, Fact("medicine", fact, f"i take {fact}"), start)
        tx.shifts.begin(CHAT, start.astimezone(ZONE).date(), shift)
        for day in range(DAYS):
            at = start + timedelta(days=day)
            entries = [
                Sensor("started", at, said) if day == 0 else Sync(at, said),
                Sleep(at + timedelta(hours=1), at + timedelta(hours=6), said),
                Feeling(feeling, at + timedelta(hours=9), feeling),
                Activity("walk", 20.0, at + timedelta(hours=12, minutes=30), said=said),
            ]
            for hour, name, food in (
                (7, "oats", "Oats, raw"),
                (12, own, f"{own} (your own)"),
                (16, unknown, None),
                (19, f"{called}'s bread", "Bread, rye"),
            ):
                item = Item(said, name, food, 90.0, 80.0, 100.0, True, 1.0, eaten if food else None, said)
                meal = Meal(at + timedelta(hours=hour), "lunch", (item,), said=said, called=called)
                entries.append(meal)
            noted = [
                tx.log.add(CHAT, entry, update_id=f"{day}", ordinal=k, message_id=None, at=at)
                for k, entry in enumerate(entries)
            ]
            hidden = Item(private, private, "Bread, rye", 90.0, 80.0, 100.0, True, 1.0, eaten)
            meal = Meal(at + timedelta(hours=22), "snack", (hidden,), said=private)
            kept = tx.log.add(CHAT, meal, update_id=f"{day}", ordinal=99, message_id=None, at=at)
            tx.private.mark(CHAT, kept.id)
            assert noted
        readings = [
            Reading(5.0 + (k % 50) / 40, start + timedelta(minutes=5 * k), said=said)
            for k in range(288 * DAYS)
        ]
        tx.readings.add(CHAT, readings, source="file", at=start, update_id=said, name=said)


def _everything(pdf: bytes) -> str:
    """Return all that can be read out of a PDF: its pages, its metadata, and every packed part as it is."""
    document = pypdfium2.PdfDocument(pdf)
    parts = [page.get_textpage().get_text_range() for page in document]
    parts += [str(document.get_metadata_dict())]
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            parts.append(zlib.decompress(packed).decode("latin-1"))
        except zlib.error:
            parts.append(packed.decode("latin-1"))
    parts.append(re.sub(rb"stream\r?\n.*?endstream", b"", pdf, flags=re.DOTALL).decode("latin-1"))
    # Words beside pictures may be kept as UTF-16, where each letter follows a zero.
    return "\n".join([*parts, "\n".join(parts).replace("\0", "")])


@pytest.fixture
def private_lunch() -> tuple[App, datetime]:
    start = datetime(2026, 3, 2, tzinfo=UTC)
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=SettableClock(start + timedelta(days=1)))
    _live(app, start, [f"q{letter}" for letter in "abcdefghi"])
    return app, start


def test_what_is_private_is_not_in_the_copy_nor_are_the_readings_around_it(
    private_lunch: tuple[App, datetime],
) -> None:
    app, start = private_lunch
    with app.store.read() as tx:
        person = tx.people.get(CHAT)
        assert person is not None
        with scrubbed(tx, person, start, start + timedelta(days=1)) as (copy, somebody, (since, until)):
            meals = [one.at.hour for one in copy.log.between(somebody.id, ("meal",), since, until)]
            seconds, _, _ = copy.readings.arrays(somebody.id, since, until)
            tx_hours = {datetime.fromtimestamp(second, UTC).hour for second in seconds}
            assert copy.rules.all(somebody.id) == []
            assert copy.facts.all(somebody.id) == []
    app.close()
    assert since.date() == begin_numbered(start.astimezone(ZONE).date())
    assert meals == [7, 12, 16, 19]
    assert tx_hours == set(range(21))


def test_the_whole_report_has_them(private_lunch: tuple[App, datetime]) -> None:
    app, start = private_lunch
    with app.store.read() as tx:
        person = tx.people.get(CHAT)
        assert person is not None
        whole = report_between(tx, person, start, start + timedelta(days=1)).decode()
    app.close()
    assert "Mon 2 Mar" in whole
    assert "Qa" in whole
