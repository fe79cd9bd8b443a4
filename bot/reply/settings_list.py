"""All settings in one message, and what each can be set to."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.language.texts import LANGUAGES, later, say
from bot.language.times import rewrite, write_minute
from bot.model.messages import Button
from bot.reply import numbers
from bot.store import Person

PRESS = "set"
"""What the buttons of settings stand for: which one, and what it becomes."""
LIST = "all"


@dataclass(frozen=True, slots=True)
class Choice:
    """A setting: its label, what is asked when it is to change, and its usual values.

    values: as the command takes them; labels: beside those that are not worded as the command takes them
    """

    label: str
    ask: str
    values: tuple[str, ...]
    labels: tuple[tuple[str, str], ...] = ()


CHOICES: dict[str, Choice] = {
    "unit": Choice(later("Unit"), later("In which unit shall I write glucose?"), ("mmol/L", "mg/dL")),
    "clock": Choice(
        later("12 or 24 hours"),
        later("How shall I write times?"),
        ("24", "12"),
        (("24", later("17:30")), ("12", later("5:30 pm"))),
    ),
    "zone": Choice(later("Time zone"), later("Write where you are, like “I'm in Lisbon”."), ()),
    "quiet": Choice(
        later("Sleep"),
        later(
            "When shall I be quiet? Press, or write “I sleep 0:30 to 8:15”. For shifts: “/shift early "
            "20:30-4:00”, then “early shift from Monday”."
        ),
        ("22:00-06:00", "23:00-06:30", "00:00-08:00", "08:30-15:30", "off"),
        (("off", later("Never quiet")),),
    ),
    "remind": Choice(
        later("Reminders"),
        later("When shall I remind you?"),
        ("on", "less", "off"),
        (
            ("on", later("Syncs and meals")),
            ("less", later("Only before loss")),
            ("off", later("Never")),
        ),
    ),
    "lead": Choice(
        later("Warning"),
        later("How long before readings are lost shall I ask for a sync?"),
        ("30 min", "60 min", "90 min", "120 min"),
    ),
    "nudge": Choice(
        later("Days without notes"),
        later("Shall I ask in the early evening when nothing is noted since noon?"),
        ("on", "off"),
        (("on", later("Yes")), ("off", later("No"))),
    ),
    "reviews": Choice(
        later("Weekly review"),
        later("Shall I look back on each week, the evening before the next?"),
        ("on", "off"),
        (("on", later("Yes")), ("off", later("No"))),
    ),
    "evening": Choice(
        later("Evening line"),
        later("Shall I say each evening what is missing of the day and how its meals scored?"),
        ("on", "off"),
        (("on", later("Yes")), ("off", later("No"))),
    ),
    "sensor": Choice(
        later("Sensor life"),
        later("How long does a sensor of yours last?"),
        ("7 days", "10 days", "14 days", "15 days"),
    ),
    "memory": Choice(
        later("Sensor memory"),
        later("For how long does your sensor keep readings that nobody syncs?"),
        ("8 h", "12 h", "24 h", "14 days"),
    ),
    "talk": Choice(
        later("Short or full"),
        later("How much shall I say?"),
        ("short", "full"),
        (("short", later("Short")), ("full", later("Everything"))),
    ),
    "pictures": Choice(
        later("Pictures"),
        later("How shall I draw pictures?"),
        ("light", "dark"),
        (("light", later("Light")), ("dark", later("Dark"))),
    ),
    "scores": Choice(
        later("Scores"),
        later("Shall I show scores? The curves stay."),
        ("show", "hide"),
        (("show", later("Yes")), ("hide", later("No"))),
    ),
    "card": Choice(
        later("Card of the day"),
        later("Shall the day's entries stand on a pinned card?"),
        ("on", "off"),
        (("on", later("Yes")), ("off", later("No"))),
    ),
    "language": Choice(
        later("Language"),
        later("In which language shall I answer?"),
        tuple(LANGUAGES),
        tuple((code, name) for code, name in LANGUAGES.items()),
    ),
}


def list_settings(person: Person, quiet: str, shifts: Sequence[str], facts: str) -> str:
    """Return a line for each setting as it is, then what somebody told of themselves."""
    remind = dict(CHOICES["remind"].labels)[{"all": "on", "sync": "less", "none": "off"}[person.remind]]
    hours = dict(CHOICES["clock"].labels)[person.clock]
    lines = [
        say("Unit: {unit}", unit=person.unit),
        say("Times: {hours}, {zone}", hours=say(hours), zone=person.zone.key),
        say("Quiet: {hours}", hours=quiet),
        *([say("Shifts: {shifts}", shifts="; ".join(shifts))] if shifts else []),
        say(
            "Reminders: {which}, {lead} before readings are lost",
            which=say(remind).lower(),
            lead=numbers.minutes(person.sync_lead_min),
        ),
        say("Days without notes: I'll ask at {clock}", clock=write_minute(18 * 60))
        if person.nudge
        else say("Days without notes: I don't ask"),
        say("Weekly review: on") if person.reviews else say("Weekly review: off"),
        say("Evening line: on") if person.evening else say("Evening line: off"),
        say(
            "Sensor: lasts {days} days, keeps {memory}",
            days=person.sensor_days,
            memory=numbers.minutes(person.memory_min),
        ),
        say("Pictures: {mode}", mode=say(dict(CHOICES["pictures"].labels)[person.pictures]).lower()),
        say("Scores: shown") if person.scores else say("Scores: hidden"),
        say("Talk: short") if person.talk == "short" else say("Talk: everything"),
        say("Card of the day: on") if person.card else say("Card of the day: off"),
        say("Language: {language}", language=LANGUAGES[person.language]),
        facts,
    ]
    return "\n".join(lines)


def setting_buttons() -> tuple[Button, ...]:
    """Return a button for each setting."""
    return tuple(Button(say(choice.label), f"{PRESS}:{name}") for name, choice in CHOICES.items())


def ask_setting(name: str) -> tuple[str, tuple[Button, ...]] | None:
    """Return what is asked for one setting, with a button for each usual value; None where there is none."""
    choice = CHOICES.get(name)
    if choice is None:
        return None
    labels = dict(choice.labels)
    made = [
        Button(say(labels[value]) if value in labels else rewrite(value), f"{PRESS}:{name}:{value}")
        for value in choice.values
    ]
    return say(choice.ask), (*made, Button(say("All settings"), f"{PRESS}:{LIST}"))
