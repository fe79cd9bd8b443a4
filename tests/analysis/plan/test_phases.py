"""Phases of a run of any length."""

import pytest

from analysis.plan.phases import LEAST_DAYS, MOST_DAYS, Run


@pytest.mark.parametrize("days", range(LEAST_DAYS, MOST_DAYS + 1))
def test_every_run_has_its_phases_in_order_and_half_of_it_for_variations(days: int) -> None:
    phases = [Run(day, days).phase for day in range(1, days + 1)]
    assert phases == sorted(phases, key=["usual", "vary", "settle"].index)
    assert set(phases) == {"usual", "vary", "settle"}
    assert phases.count("usual") == phases.count("settle")
    assert abs(phases.count("vary") - days / 2) <= 1
    for day in range(1, days + 1):
        run = Run(day, days)
        assert run.left_in_phase == phases[day - 1 :].count(run.phase)
        assert run.left == days - day + 1


def test_28_days_are_a_week_two_weeks_and_a_week() -> None:
    phases = [Run(day).phase for day in range(1, 29)]
    assert [phases.count(phase) for phase in ("usual", "vary", "settle")] == [7, 14, 7]


def test_behind_its_end_a_run_settles_and_has_no_days_left() -> None:
    assert (Run(31).phase, Run(31).left, Run(31).left_in_phase) == ("settle", 0, 0)


@pytest.mark.parametrize(("day", "days"), [(0, 28), (1, 6), (1, 61)])
def test_other_runs_are_refused(day: int, days: int) -> None:
    with pytest.raises(ValueError, match="7 to 60 days"):
        Run(day, days)
