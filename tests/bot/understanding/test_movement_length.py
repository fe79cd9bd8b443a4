import pytest

from bot.model.entries import Activity
from bot.understanding import understand
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.small_table import build_small_table

TABLE = build_small_table()


@pytest.mark.parametrize("note", ["went for a run at 7, -50 h", "walked, -50 h", "walked, 50 h"])
def test_a_length_that_cannot_be_is_not_taken(note):
    walks = [e for e in understand(note, context_at("08:00", TABLE)).entries if isinstance(e, Activity)]
    assert all(walk.minutes is None for walk in walks)


def test_a_length_after_the_movement_is():
    (run,) = understand("went for a run at 7, 35 min", context_at("08:00", TABLE)).entries
    assert isinstance(run, Activity)
    assert run.minutes == 35
