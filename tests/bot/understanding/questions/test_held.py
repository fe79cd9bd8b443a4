"""Asking for everything that is held, as people say it, and what is something else."""

import pytest

from bot.understanding.questions.held import asks_for_all

ASKED = """
what do you hold about me
everything you hold about me
give me everything you have about me
what have you got on me
what data do you keep about me
what information is held about me
all the data you have on me
please send me all my data
i want all my data
i'd like a copy of my data
can i have a copy of my data
can you send me my data
download my data
export my data please
all my data as a zip
export everything
"""
OTHER = """
what do you know about me
delete all my data
do you have all my data
my data
send me the report
any gaps in my data
how do i get my data out
export the curve of lunch
what do you have about oats
"""


@pytest.mark.parametrize("said", ASKED.strip().splitlines())
def test_it_is_asked_for(said: str) -> None:
    assert asks_for_all(said)


@pytest.mark.parametrize("said", OTHER.strip().splitlines())
def test_something_else_is_asked(said: str) -> None:
    assert not asks_for_all(said)
