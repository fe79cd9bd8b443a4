"""Help by situation, with the person's own food in its examples, and what is told of their data."""

from dataclasses import dataclass

from bot.language.texts import later, say
from bot.model.messages import Button

PRESS = "help"
"""What the buttons of the help stand for: the situation."""
FIXING_NAME = "fixing"
BEGIN, SETTINGS, PRIVACY, ERASE, EXPORT = "begin", "settings", "privacy", "erase", "export"


@dataclass(frozen=True, slots=True)
class Example:
    """What the examples are made of: a meal in words, one of its foods, and what the meal is called."""

    meal: str = "2 slices rye toast with butter and a boiled egg at 7:15"
    food: str = "toast"
    slot: str = "breakfast"


HELP = later(
    "Write what happened in your own words, like “{meal}”, and I'll make of it what I can. What would you "
    "like to know more about?"
)
NOTING = later(
    "A meal, with amounts where you can: “{meal}”. An earlier one: “same as yesterday's {slot}”, “the "
    "usual”.\n"
    "Movement, sleep, how you feel: “walked 15 min after lunch”, “slept 22:30 to 6:15”, “tired”.\n"
    "Words of your own: “call this my early-shift {slot}”, “my bar: 60 g, 21 g carbs, 15 g protein, 9 g "
    "fat”.\n"
    "An amount that you don't name is my guess, and I say so where it matters."
)
FIXING = later(
    "Just say what was wrong, now or days later: “no, 120 g {food}”, “the {food} was couscous”, “it was at "
    "12:15”, “remove the {food}”, “I forgot a coffee”.\n"
    "“undo” takes back the last change. You can also edit your message, or answer to it.\n"
    "“What did I eat today?” lists the day, with a button to fix each entry."
)
READINGS = later(
    "Send me the file that your sensor's app or its website exports, in any layout; type what you see, like "
    "“5.4 at 9:10” or “104 mg/dl”; or let your phone post readings by itself: /token.\n"
    "A finger-prick is kept apart: “finger-prick 5.6”. Say “synced” when you have synced the sensor, and "
    "“new sensor on at 19:00” for a new one; /sensor tells how it is doing."
)
ASKING = later(
    "A meal: “how was {slot}?”, “why was {slot} so high?”.\n"
    "Foods and habits: “what does {food} do to me?”, “does a walk help?”, “best and worst this week”.\n"
    "Days: “show Tuesday”, “average day”, “what's my fasting?”, “how complete is my record?”\n"
    "What next: “what is worth trying?”, “start a test”, “send me the report”."
)
PRIVACY_SAID = later(
    "What I hold: what you write to me, the readings and photos you send, and what I worked out from them.\n"
    "Where: in one database on the machine that runs me, whose owner could read it. Our messages also pass "
    "through your messenger and stay in its chat. I hand your record to nobody, and ask no other service "
    "about it.\n"
    "How long: until you erase it, or whoever runs me does.\n"
    "To get it: the button below, /export or “send me all my data”.\n"
    "To erase it: the button below, or /erase. Daily copies are erased with it."
)
LABELS = {
    "noting": later("Noting"),
    FIXING_NAME: later("Putting right"),
    "readings": later("Readings"),
    "asking": later("Asking"),
    SETTINGS: later("Settings"),
    PRIVACY: later("Privacy"),
}
_SAID = {BEGIN: HELP, "noting": NOTING, FIXING_NAME: FIXING, "readings": READINGS, "asking": ASKING}


def say_situation(name: str, example: Example) -> str | None:
    """Return the help of one situation, None where there is none of that name."""
    text = _SAID.get(name)
    return text and say(text, meal=example.meal, food=example.food, slot=example.slot)


def situation_buttons(but: str = "") -> tuple[Button, ...]:
    """Return a button for each situation but one."""
    return tuple(Button(say(label), f"{PRESS}:{name}") for name, label in LABELS.items() if name != but)


def privacy_buttons() -> tuple[Button, Button]:
    """Return the buttons that send all that is held, and that ask whether it is to be deleted."""
    return (
        Button(say("Send me everything"), f"{PRESS}:{EXPORT}"),
        Button(say("Delete everything I hold"), f"{PRESS}:{ERASE}"),
    )
