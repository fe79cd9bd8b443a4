"""Fasting figures of earlier years: kept as such, and never taken for a reading of today's."""

from datetime import date

import pytest

from bot.understanding.settings.older import older_in, read_older
from tests.talk import talking

TODAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("2021 by finger-prick i was at 4.6 fasting", (4.6, "2021", "finger-prick")),
        ("in 2019 my fasting was 88 mg/dl at the doctor's", (4.9, "2019", "blood test")),
        ("5 years ago i was at 5,1 fasting", (5.1, "2021", "")),
        ("my fasting value in 2020 was 90", (5.0, "2020", "")),
        ("two years ago it was 5.3 before breakfast with a sensor", (5.3, "2024", "sensor")),
        ("fasting was 5.2 this morning at 7:00", None),
        ("in 2021 i was at 4.6", None),  # not said to be fasting
        ("2027 i will be at 4.6 fasting", None),
        ("in 2021 i was between 4.6 and 5.2 fasting", None),  # which of them?
        ("5.6 at 20:21 fasting", None),
        ("a few years ago i was at 4.9 fasting", None),  # which year?
    ],
)
def test_it_is_read(said, told):
    found = [read_older(fact) for fact, _ in older_in(said, TODAY)]
    assert found == ([] if told is None else [told])


def test_it_is_kept_and_said_beside_the_fasting_level_with_its_caution():
    with talking() as talk:
        said = talk.say("2021 by finger-prick I was at 4.6 fasting")
        assert said.startswith("Noted about you: fasting at 4.6 mmol/L or 83 mg/dL in 2021 by finger-prick.")
        assert talk.logged("reading") == []
        said = talk.say("what's my fasting?")
        assert "You told me of earlier: 4.6 mmol/L in 2021 by finger-prick." in said
        assert "a meter, a laboratory and a sensor can be a few tenths of a mmol/L apart" in said
        talk.say("/unit mg/dL")
        assert "83 mg/dL in 2021" in talk.say("what's my fasting?")
        assert "Forgotten" in talk.say("forget that I was fasting at 4.6")
        assert "earlier" not in talk.say("what's my fasting?")
