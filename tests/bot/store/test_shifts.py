from datetime import time

from bot.store import Shift, Switch
from tests.bot.store.samples import NOW, TRAM, later


def test_a_pattern_is_kept_and_changed(unit):
    unit.shifts.set(TRAM, "late", time(1), time(8, 30))
    unit.shifts.set(TRAM, "early", time(20), time(4))
    unit.shifts.set(TRAM, "early", time(20, 30), time(4))
    assert unit.shifts.all(TRAM) == [
        Shift("early", time(20, 30), time(4)),
        Shift("late", time(1), time(8, 30)),
    ]


def test_planned_changes_come_in_order_and_go(unit):
    unit.shifts.plan(TRAM, later(60), "late")
    unit.shifts.plan(TRAM, NOW, "early")
    unit.shifts.plan(TRAM, later(60), "off")
    assert unit.shifts.switches(TRAM) == [Switch(NOW, "early"), Switch(later(60), "off")]
    unit.shifts.forget_switches(TRAM, NOW)
    assert unit.shifts.switches(TRAM) == [Switch(later(60), "off")]
