"""A short run of `tests.trouble.cut_off`; the whole of it is a command."""

from tests.trouble.cut_off import run


def test_a_server_whose_connections_end_loses_nothing() -> None:
    outcome = run("cut", notes=15, seed=3)
    assert outcome.is_good, outcome
    assert outcome.harms > 0
