"""A printed trial has all items of CENT that a trial here can have."""

from datetime import timedelta, timezone

import pytest

from analysis.trials.accepting import follow
from analysis.trials.cent import write_cent
from tests.analysis.trials.test_accepting import eaten, play
from tests.bench.conclusions_trials import agreed

ITEMS = {
    "1a": "N-of-1 trial (CENT item 1a)",
    "rationale": "Why in one person (rationale)",
    "3a": "up to 14 pairs",
    "3a, washout": "Washout:",
    "4a": "medicines are not recorded",
    "4c": "No ethics committee",
    "5": "Arm B (5): porridge and a walk (60 g of oats, with: walk after, begun within 45 min",
    "8": "drawn by lot for each pair",
    "12": "correlation between servings",
    "12, carryover": "carryover is kept off by the washout",
    "13": "8 of up to 14 pairs complete",
    "17": "  pair 8: ",
    "17, effect": "B minus A −0.36 (−0.38 to −0.33) mmol/L; in percent of A −33 (−3",
}


def printed(days: int = 16, **more: object) -> str:
    protocol = agreed()
    course = follow(protocol, [*play(days), eaten(40, 0, slot="lunch")])
    areas = [(120.0 + 3 * k, 80.0 + 2 * k + k % 3) for k in range(len(course.pairs))]
    return write_cent(protocol, course, areas, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("item", ITEMS)
def test_items(item: str) -> None:
    assert ITEMS[item] in printed()


def test_what_was_set_aside_is_told_with_its_reason() -> None:
    assert "17 servings offered, 1 set aside" in printed()
    assert "set aside: It was lunch, and the test is of breakfast." in printed()


def test_periods_stand_in_the_order_they_were_eaten_in() -> None:
    rows = [line for line in printed().splitlines() if line.startswith("  pair")]
    for row, first in zip(rows, agreed().order, strict=False):
        assert row.split(": ")[1][0] == "AB"[first]
    assert "A 1.00 (2026-03-0" in rows[0]
    assert "B 0.67 (2026-03-0" in rows[0]


def test_the_edge_has_the_persons_unit_and_clock() -> None:
    said = printed(unit="mg/dL", clock=timezone(timedelta(hours=2)))
    assert "A 18.0 (2026-03-0" in said
    assert "06:30" in said


def test_lots_that_have_not_fallen_due_are_not_told() -> None:
    (order,) = (line for line in printed(15).splitlines() if line.startswith("Order"))
    told = order.split("is due: ")[1].split(". ")[0].split(", ")
    assert told == [("AB", "BA")[one] for one in agreed().order[:8]]


def test_nothing_done_yet() -> None:
    protocol = agreed()
    said = write_cent(protocol, follow(protocol, []), [])
    assert "0 of up to 14 pairs complete" in said
    assert "Verdict: no telling yet." in said
    assert "nan" not in said
