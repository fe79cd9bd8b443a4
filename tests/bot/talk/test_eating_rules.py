"""Rules of eating in the chat, what stays private, and the forms of the report."""

import pytest

from tests.simulated.logged import talk_after_weeks
from tests.talk import talking


def test_rules_are_kept_listed_changed_dropped_and_put_back() -> None:
    with talking() as talk:
        assert "no rule yet" in talk.say("what are my rules?")
        assert "rule 1: “walk after big dinners”" in talk.say("my rule: walk after big dinners")
        assert "rule 2: “beans before bread”" in talk.say("new rule: “beans before bread”")
        assert "your rule 2 already" in talk.say("rule: Beans before bread")
        assert "is now “walk 15 min after big dinners”" in talk.say(
            "change rule 1 to: walk 15 min after big dinners"
        )
        assert "1. walk 15 min after big dinners\n2. beans before bread" in talk.say("/rules")
        talk.press("As it was")
        assert "1. walk after big dinners\n2. beans before bread" in talk.say("my rules")
        assert "Dropped: “walk after big dinners”" in talk.say("drop rule 1")
        assert "1. beans before bread" in talk.say("show me my rules")
        talk.press("Put it back")
        assert "1. walk after big dinners\n2. beans before bread" in talk.say("rules")
        assert "no rule 7" in talk.say("forget rule 7")
        assert talk.meals() == []


@pytest.mark.parametrize(
    "said", ["rule", "my rule:", "my rule: " + "x" * 250, "change rule 1", "drop rule 1", "rule 99: eat"]
)
def test_odd_words_about_rules_change_nothing(said: str) -> None:
    with talking() as talk:
        assert talk.say(said)
        with talk.app.store.read() as tx:
            assert tx.rules.all(talk.person) == []


def test_what_is_beyond_noise_is_proposed_once_and_kept_by_a_button() -> None:
    with talk_after_weeks(21) as talk:
        said = talk.say("what are my rules?")
        assert "You may make this a rule: “Walk after meals.”" in said
        assert "Kept as your rule 1: “Walk after meals.”" in talk.press("Keep as my rule")
        assert "a rule: “Walk after meals.”" not in talk.say("my rules")
        talk.say("drop rule 1")
        assert "Walk after meals" not in talk.say("my rules")


def test_who_takes_a_medicine_is_sent_to_a_clinician_instead() -> None:
    with talk_after_weeks(21) as talk:
        talk.say("I take metformin")
        said = talk.say("what are my rules?")
        assert "ask a clinician" in said
        assert "You may make" not in said


def test_an_entry_stays_private_until_said_otherwise() -> None:
    with talking() as talk:
        assert "nothing noted yet" in talk.say("keep this private")
        talk.say("two slices of rye toast at 7:10")
        kept = talk.meals()[-1].id
        assert "stays private" in talk.say("keep this private")
        with talk.app.store.read() as tx:
            assert tx.private.of(talk.person) == {kept}
        assert "private no more" in talk.press("Not private")
        with talk.app.store.read() as tx:
            assert tx.private.of(talk.person) == frozenset()


@pytest.mark.parametrize(
    ("said", "version", "pdf"),
    [
        ("send me the report", "whole", False),
        ("send me a report I can share", "share", True),
        ("report for my doctor", "clinician", True),
        ("one page for my doctor", "clinician", True),
        ("my report as a pdf", "whole", True),
    ],
)
def test_each_form_of_the_report_can_be_asked_for(said: str, version: str, pdf: bool) -> None:
    with talking() as talk:
        talk.say("porridge at 7:00")
        talk.say(said)
        spec = talk.heard[-1].picture
        assert spec is not None
        assert (spec.kind, spec.version, spec.pdf) == ("report", version, pdf)
        assert spec.file.endswith(".pdf" if pdf else ".html")


def test_buttons_send_the_other_forms_of_the_same_days() -> None:
    with talking() as talk:
        talk.say("porridge at 7:00")
        talk.say("/report")
        first = talk.heard[-1].picture
        for label, version in (("As PDF", "whole"), ("To share", "share")):
            talk.press(label)
            spec = talk.heard[-1].picture
            assert spec is not None
            assert (spec.version, spec.pdf) == (version, True)
            assert first is not None
            assert first.until is not None
            assert spec.until is not None
            assert abs((spec.until - first.until).total_seconds()) <= 60
            assert talk.app.draw(spec, talk.person).page.startswith(b"%PDF")
