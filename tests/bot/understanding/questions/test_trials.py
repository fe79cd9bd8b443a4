"""What whole sentences want of a trial; ordinary notes and other questions want nothing of one."""

import pytest

from bot.understanding.questions.trials import read_act

SAID = {
    "start": (
        "test porridge with and without a walk",
        "I'd like to test white rice against lentils",
        "set up a fair test of oat milk versus cow's milk",
        "can we test whether a walk after porridge helps me?",
    ),
    "propose": ("start a test", "Let's run an experiment", "suggest a test for me", "what should we test?"),
    "progress": (
        "how is the test going?",
        "How many pairs are left?",
        "which arm is next?",
        "what came out of the bread trial?",
        "where do we stand with the test",
    ),
    "later": (
        "no test today",
        "skip the test today",
        "Put the test off until tomorrow, please",
        "postpone the trial",
    ),
    "stop": ("stop the test", "cancel the trial please", "skip the test", "Stop the test, my holidays begin"),
    "print": ("print the test", "show me the protocol", "write up the trial"),
}


@pytest.mark.parametrize(("act", "said"), [(act, said) for act, many in SAID.items() for said in many])
def test_each_request_in_several_wordings(act: str, said: str) -> None:
    assert read_act(said) == act


@pytest.mark.parametrize(
    "said",
    [
        "porridge with 60 g oats and a banana",
        "5.4 at 9:10 with a test strip",
        "had a blood test at 8, fasted",
        "tested 6.1 before lunch",
        "how did my glucose test go?",
        "white rice against lentils",
        "compare porridge with and without a walk",
        "toast for the driving test",
        "test",
        "test 5.6",
        "test strip 5.6",
        "test meal at noon",
        "walked 10 min",
        "stop reminding me",
        "not today",
        "what should I try next?",
        "",
    ],
)
def test_what_wants_nothing_of_a_trial(said: str) -> None:
    assert read_act(said) is None
