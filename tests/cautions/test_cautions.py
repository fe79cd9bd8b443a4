"""Cautions, phrase by phrase: figures that may not fall. How they were made: README.md beside this."""

import pytest

from tests.cautions.score import score


@pytest.mark.parametrize(("part", "precision", "recall"), [("seen", 0.96, 0.97), ("unseen", 0.94, 0.97)])
def test_cautions_are_said_where_they_bear_and_nowhere_else(
    part: str, precision: float, recall: float
) -> None:
    counts, _ = score(part)
    right = counts["right"]
    assert right / (right + counts["needless"]) >= precision
    assert right / (right + counts["missed"]) >= recall
