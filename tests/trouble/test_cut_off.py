"""A short run of `tests.trouble.cut_off`; the whole of it is a command."""

import pytest

from tests.trouble.cut_off import run


@pytest.mark.parametrize("fault", ["cut", "restart"])
def test_a_server_that_goes_away_loses_nothing(fault: str) -> None:
    outcome = run(fault, notes=15, seed=3)
    assert outcome.is_good, outcome
    assert outcome.harms > 0
