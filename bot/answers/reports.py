"""The report in the talk: sent whole at first, with a button for each other form of it."""

import re
from datetime import UTC, datetime, timedelta

from bot.answers.days import end_of
from bot.answers.run_days import start_of_run
from bot.language.texts import later, say
from bot.model.entries import Question
from bot.model.messages import Button, Outgoing, PictureSpec, ReportVersion
from bot.store import Person, Transaction

REPORT = "report as"
"""What a report's button begins with: its form, and its span in minutes since 1970."""
FORMS: dict[str, tuple[str, ReportVersion, bool, str]] = {
    "pdf": (later("As PDF"), "whole", True, later("Here is your report as a PDF.")),
    "share": (
        later("To share"),
        "share",
        True,
        later(
            "This one you can show around: it leaves out who you are, dates, your own words, feelings, "
            "photos and what you keep private."
        ),
    ),
    "clinician": (
        later("For my doctor"),
        "clinician",
        True,
        later(
            "Here is one page for your clinician: published measures and what they stand on, no advice and "
            "no score of mine."
        ),
    ),
}
"""Of each button: its label, which report, whether as a PDF, and what is said with it."""
WHOLE = later(
    "Here is your report: one page with its pictures, to keep, print or show. Open it in a browser."
)
NOTHING = later("There is nothing to report yet: note what you eat, and send me readings.")
_TO_SHARE = re.compile(r"\bshar|\bshow (?:to|others|around)|\banonym|\bpass on")
_CLINICAL = re.compile(r"\b(?:doctor|clinician|gp|physician|nurse|practice)\b")
_PDF = re.compile(r"\b(?:pdf|print)")


def answer_report(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Send the report of a run, made when it is sent: to share, for a clinician or as a PDF if so asked."""
    until = end_of(question, now)
    since = question.since or start_of_run(tx, person, until)
    meals = tx.log.between(person.id, ("meal",), since, until)
    if not meals and not tx.readings.arrays(person.id, since, until)[0]:
        return Outgoing(person.id, say(NOTHING))
    said = question.said.lower()
    asked = (("clinician", _CLINICAL), ("share", _TO_SHARE), ("pdf", _PDF))
    form = next((form for form, pattern in asked if pattern.search(said)), "")
    return _send(person, form, since, until)


def press_report(tx: Transaction, person: Person, data: str) -> Outgoing | None:
    """Send another form of a report; None for a button that is none of ours."""
    found = re.fullmatch(r"([a-z]+):([0-9]{1,9}):([0-9]{1,9})", data)
    if found is None or found[1] not in FORMS:
        return None
    since, until = (datetime.fromtimestamp(60 * int(minute), UTC) for minute in found.groups()[1:])
    return _send(person, found[1], since, until)


def _send(person: Person, form: str, since: datetime, until: datetime) -> Outgoing:
    _, version, pdf, said = FORMS.get(form, ("", "whole", False, WHOLE))
    named = "" if version == "whole" else f"-{version}"
    name = f"report-to-{until.astimezone(person.zone):%Y-%m-%d}{named}"
    if version == "share":
        name = "report-to-share"
    spec = PictureSpec("report", name, since=since, until=until, version=version, pdf=pdf)
    ends = until + timedelta(minutes=1) - timedelta.resolution
    span = ":".join(str(int(at.timestamp()) // 60) for at in (since, ends))
    buttons = [
        Button(say(label), f"{REPORT}:{one}:{span}") for one, (label, *_) in FORMS.items() if one != form
    ]
    return Outgoing(person.id, say(said), buttons=tuple(buttons), picture=spec)
