"""Files in the talk: read, or kept until the person has said how they are to be read."""

import re
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import inf

from bot.answers.meals import say_new_curves
from bot.intake import FileReadings
from bot.language.texts import later, say
from bot.model.button_ids import read_ids, write_ids
from bot.model.errors import AskFile, BadFile
from bot.model.messages import Attachment, Button, Incoming, Outgoing
from bot.model.naming import join
from bot.reply import numbers
from bot.store import OpenFile, Person, Transaction
from bot.talk.brief import answer_file
from bot.talk.cautions import concerns_of_fasting, say_due
from bot.talk.heard import Heard
from bot.talk.incoming_readings import (
    OF_READINGS,
    check_room,
    concerns_of_file,
    newest_known,
    say_file,
    store_file,
)
from bot.talk.sample import drop_sample
from bot.talk.unexplained_rises import ask_about_rise

PRESSES = ("file", "unfile")
ABOUT_FILE = "a file"
"""What the open question of a person is about while a file of theirs waits."""
KEEP_FILE = timedelta(days=1)
MOST_BYTES = 20_000_000
MOST_LABEL = 40
SECOND = re.compile(r"\b(second|other|2nd)\s+sensor\b", re.IGNORECASE)
NO_FILE = later("There is no file of yours whose readings I could take out.")
TAKE_OUT = later(
    "Take out what came new with “{name}” ({when})? Keep the file if you may want its readings back."
)
TOO_LARGE = later("That file is too large: send at most 20 MB.")
_FILE_GONE = "I no longer have that file: send it once more."


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the person said of a file: the column of glucose, whether days come before months."""

    column: str | None = None
    day_first: bool | None = None

    def add(self, about: str, choice: str) -> "Chosen":
        """Return it with one more answer: the name of a column, or "day" or "month"."""
        return (
            replace(self, column=choice)
            if about == "column"
            else replace(self, day_first=choice == _DAY_FIRST)
        )

    def holds(self, about: str) -> bool:
        """Tell whether a question was answered."""
        return (self.column if about == "column" else self.day_first) is not None


_DAY_FIRST, _MONTH_FIRST = "day", "month"


def receive_file(heard: Heard) -> list[Outgoing]:
    """Store the readings of a file, or keep it (the last one) and ask what only the person knows of it."""
    incoming = heard.incoming
    assert incoming.file is not None
    if len(incoming.file.data) > MOST_BYTES:
        return [Outgoing(heard.person.id, say(TOO_LARGE))]
    return _take(heard, incoming.file, Chosen(), second=SECOND.search(incoming.text) is not None)


def press_file(heard: Heard, what: str, about: str) -> list[Outgoing]:
    """Answer a button under the question of a file, or the one that takes an import back."""
    tx, person, ids = heard.tx, heard.person, read_ids(about)
    if what == "unfile":
        gone = tx.readings.drop_lots(person.id, ids)
        tx.files.forget_choices(person.id)
        text = (
            f"Taken out: {numbers.count(gone, 'reading')}. Send the file again and I'll ask how to read it."
        )
        return [Outgoing(person.id, text if gone else "Those readings were taken out before.")]
    file = tx.files.get(person.id, heard.incoming.sent_at)
    found = re.fullmatch(r"([0-9]{1,18}),([0-9])", about)
    if file is None or found is None or int(found[1]) != file.id or int(found[2]) >= len(file.options):
        return [Outgoing(person.id, _FILE_GONE)]
    return _answer(heard, file, int(found[2]))


def offer_take_out(tx: Transaction, person: Person, now: datetime) -> Outgoing:
    """Offer to take out the readings of the last file: asked first, since a sensor forgets what it gave."""
    # a typed value came with no file, whether of the sensor or of blood
    lots = [one for one in tx.readings.imports(person.id) if one.name and one.result.stored]
    if not lots:
        return Outgoing(person.id, say(NO_FILE))
    last = lots[-1]
    ids = [one.id for one in lots if one.update_id == last.update_id]
    text = say(TAKE_OUT, name=last.name, when=numbers.day_and_clock(last.at, person.zone, now))
    return Outgoing(person.id, text, buttons=(Button(say("Take out"), "unfile:" + write_ids(ids)),))


def hear_choice(heard: Heard) -> list[Outgoing] | None:
    """Answer a file's question by words that are one of its options; None when they are not."""
    file = heard.tx.files.get(heard.person.id, heard.incoming.sent_at)
    said = heard.incoming.text.strip().strip("“”\"'.").casefold()
    options = [] if file is None else [option.casefold() for option in file.options]
    return None if file is None or said not in options else _answer(heard, file, options.index(said))


def _answer(heard: Heard, file: OpenFile, place: int) -> list[Outgoing]:
    tx, person = heard.tx, heard.person
    choice = file.options[place] if file.about == "column" else (_DAY_FIRST, _MONTH_FIRST)[place]
    tx.files.drop(person.id)
    if file.layout:
        tx.files.keep_choice(person.id, file.layout, file.about, choice)
    chosen = Chosen(file.column, file.day_first).add(file.about, choice)
    return _take(heard, Attachment(file.name, file.data), chosen, second=file.second)


def _take(heard: Heard, file: Attachment, chosen: Chosen, *, second: bool) -> list[Outgoing]:
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    try:
        found, chosen = _read_as_chosen(heard, file, chosen)
        check_room(tx, person, found, file.name, second=second)
    except _Open as still:
        return [_ask(tx, person, file, still, second, incoming.sent_at)]
    except BadFile as error:
        return [Outgoing(person.id, str(error))]
    gone = drop_sample(tx, person)
    newest_before = newest_known(tx, person)
    person, switched = _with_unit_of(tx, person, found)
    heard = replace(heard, person=person)
    stored, completed = store_file(tx, person, found, file.name, incoming, second=second)
    tx.first_hour.settle(person.id, *OF_READINGS)
    now, before = incoming.sent_at, None if second else newest_before
    is_brief = person.talk == "short" and before is not None
    concerns: list[str] = []
    if stored.stored or not found.mmol:
        of_fasting = concerns_of_fasting(tx, person, now, max(found.mmol, default=inf))
        concerns = say_due(tx, person, [*concerns_of_file(found), *of_fasting], now)
    lines = [say_file(found, stored, person, now, before, brief=is_brief) + switched, gone, *concerns]
    text = "\n".join(line for line in lines if line).strip("\n")
    about = replace(_with_undo(tx, person, incoming, text, chosen), replaces=_asked_in(incoming))
    curves = say_new_curves(tx, person, completed, now)
    rises = [] if second else ask_about_rise(tx, person, now)
    return answer_file(heard, about, curves, rises) if is_brief else [about, *curves, *rises]


def _with_unit_of(tx: Transaction, person: Person, found: FileReadings) -> tuple[Person, str]:
    """Take over the unit of a first file in mg/dL from somebody who never chose one, and say so."""
    if (
        person.unit_chosen
        or found.unit != "mg/dL"
        or person.unit == found.unit
        or tx.readings.count(person.id)
    ):
        return person, ""
    person = tx.people.update(person.id, unit="mg/dL", unit_chosen=True)
    return (
        person,
        "\nYour file is in mg/dL, so I'll write glucose in mg/dL from now on; /unit mmol/L changes that.",
    )


class _Open(Exception):
    """A question that is still open, after what was chosen so far."""

    def __init__(self, question: AskFile, chosen: Chosen) -> None:
        super().__init__(str(question))
        self.question, self.chosen = question, chosen


def _read_as_chosen(heard: Heard, file: Attachment, chosen: Chosen) -> tuple[FileReadings, Chosen]:
    """Read a file by what is chosen, and where that leaves a question by what was chosen for its like."""
    tx, person = heard.tx, heard.person
    while True:
        try:
            found = heard.read(
                file.data,
                file.name,
                zone=person.zone,
                now=heard.incoming.sent_at,
                column=chosen.column,
                day_first=chosen.day_first,
            )
        except AskFile as question:
            about, layout = question.about, question.layout
            known = tx.files.choice(person.id, layout, about) if layout else None
            if known is None or chosen.holds(about):
                raise _Open(question, chosen) from None
            chosen = chosen.add(about, known)
        else:
            return found, chosen


def _ask(
    tx: Transaction, person: Person, file: Attachment, still: _Open, second: bool, now: datetime
) -> Outgoing:
    question, chosen = still.question, still.chosen
    waiting = OpenFile(
        0,
        person.id,
        file.name,
        file.data,
        second,
        question.about,
        question.options,
        question.layout,
        chosen.column,
        chosen.day_first,
    )
    file_id = tx.files.put(waiting, now + KEEP_FILE)
    tx.pending.ask(person.id, ABOUT_FILE, None, now, now + KEEP_FILE)
    buttons = tuple(
        Button(label if len(label) <= MOST_LABEL else label[: MOST_LABEL - 1] + "…", f"file:{file_id},{k}")
        for k, label in enumerate(question.options[:10])
    )
    return Outgoing(person.id, f"{question} I keep the file for a day.", buttons=buttons)


def _with_undo(tx: Transaction, person: Person, incoming: Incoming, text: str, chosen: Chosen) -> Outgoing:
    """Say by what choices a file was read, with a button that takes the import back if they were wrong."""
    how = [f"“{chosen.column}” as the glucose"] if chosen.column else []
    if chosen.day_first is not None:
        how.append("the day before the month" if chosen.day_first else "the month before the day")
    if not how:
        return Outgoing(person.id, text)
    lots = tx.readings.lots(person.id, incoming.update_id)
    buttons = (Button("Wrong, take out", "unfile:" + write_ids(lots)),) if lots else ()
    return Outgoing(person.id, f"{text}\nRead with {join(how)}, as you chose.".strip(), buttons=buttons)


def _asked_in(incoming: Incoming) -> str | None:
    """Return the message whose button was pressed: the answer takes its place."""
    return incoming.message_id if incoming.press is not None else None
