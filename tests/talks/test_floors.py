"""The figures of the talks that were set aside may not fall."""

from tests.talks.corpus import talks_of
from tests.talks.playing import play

LEAST_RIGHT, MOST_HARMFUL = 0.12, 0.18
"""What was reached when this was written, less a talk or two; README.md beside this file has the figures."""


def test_talks_set_aside_end_as_well_as_before() -> None:
    outcomes = [play(talk) for talk in talks_of("test")]
    right = sum(not outcome.wrong for outcome in outcomes) / len(outcomes)
    harmful = sum(bool(outcome.harmful) for outcome in outcomes) / len(outcomes)
    assert right >= LEAST_RIGHT
    assert harmful <= MOST_HARMFUL
