"""A small share of the matrix; all of it is `python -m tests.trouble.matrix`."""

import pytest

from tests.trouble.matrix import play


@pytest.mark.parametrize(
    ("work", "fault"), [("replies", "drop_before"), ("updates", "disk full"), ("reminders", "clock back")]
)
def test_a_fault_loses_nothing(work: str, fault: str) -> None:
    cell = play(work, fault)
    assert (cell.lost, cell.twice) == (0, 0)
    assert cell.late_s > 0
