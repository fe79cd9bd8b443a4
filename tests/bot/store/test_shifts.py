from datetime import date, time

from bot.store import Shift, Switch
from tests.bot.store.samples import TRAM


def test_a_pattern_is_kept_and_changed(tx):
    tx.shifts.set(TRAM, "late", time(1), time(8, 30))
    tx.shifts.set(TRAM, "early", time(20), time(4))
    tx.shifts.set(TRAM, "early", time(20, 30), time(4))
    assert tx.shifts.all(TRAM) == [
        Shift("early", time(20, 30), time(4)),
        Shift("late", time(1), time(8, 30)),
    ]


def test_planned_changes_come_in_order_and_go(tx):
    tx.shifts.plan(TRAM, date(2026, 3, 9), "late")
    tx.shifts.plan(TRAM, date(2026, 3, 2), "early")
    tx.shifts.plan(TRAM, date(2026, 3, 9), "off")
    assert tx.shifts.switches(TRAM) == [Switch(date(2026, 3, 2), "early"), Switch(date(2026, 3, 9), "off")]
    tx.shifts.forget_switches(TRAM, date(2026, 3, 2))
    assert tx.shifts.switches(TRAM) == [Switch(date(2026, 3, 9), "off")]


def test_which_shift_began_when_is_kept(tx):
    for day, name in ((2, "early"), (9, "late"), (16, "off")):
        tx.shifts.begin(TRAM, date(2026, 3, day), name)
    tx.shifts.begin(TRAM, date(2026, 3, 9), "off")  # said anew, it overrules what was to follow
    assert tx.shifts.begun(TRAM) == [Switch(date(2026, 3, 2), "early"), Switch(date(2026, 3, 9), "off")]
