"""The figures of the notes that were set aside may not fall: who changes a rule or a cost sees it here."""

from bot.foodtable import load_table
from tests.corpus.corpus import notes_of
from tests.corpus.score import judge_all
from tests.corpus.tally import sum_up

# What was reached when this was written, less one note or two; README.md beside this file has the figures.
FLOORS = {
    "fully_right": 0.84,
    "kinds_right": 0.953,
    "foods_f1": 0.978,
    "grams_in_range": 0.965,
    "carbs_in_range": 0.965,
    "times_right": 0.969,
}


def test_notes_set_aside_are_understood_as_well_as_before() -> None:
    figures = sum_up(judge_all(notes_of("test"), load_table())[0])
    fallen = {name: value for name, least in FLOORS.items() if (value := figures[name] or 0.0) < least}
    assert not fallen
