"""What a newcomer reads: the hello, what is asked once, and how readings come."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.language.texts import later, say
from bot.language.times import rewrite
from bot.model.messages import Button
from bot.reply import numbers

PRESS = "hello"
"""What the buttons of these questions stand for: what about, and the answer."""
TOUR = "tour"
SKIP, OTHER = "skip", "other"
SHIFTS, POSTED, TYPED, FILED = "shifts", "posted", "typed", "file"
NOT_YET, JUST_NOW, YESTERDAY, LONGER = "not yet", "now", "yesterday", "longer"

HELLO = later(
    "Hello. Write what you eat as you eat it, and send me your sensor's readings when you have them.\n"
    "I'll draw each meal's curve, score how even it is (100 is a flat line) and find your best and worst "
    "meals.\n"
    "I am a diary, not a medical device: if you take diabetes medicines, are pregnant or have had an eating "
    "disorder, talk to your clinician before you change how you eat."
)
ASK_UNIT = later("Which unit does your sensor show?")
ASK_ZONE = later("What time is it where you are?")
ASK_NIGHTS = later(
    "When do you usually sleep? I'll be quiet then. Press the nearest, or write it: “0:30 to 8:15”."
)
ASK_SENSOR = later("Is a sensor on your skin already? Press, or write since when: “since Thursday 19:00”.")
ASK_READINGS = later("How will readings reach me?")
ALL_ASKED = later("That was all I wanted to know. Write what you ate last, or “help” at any time.")
SKIPPED = later("We can leave that. /settings is the place for it later.")
NAME_A_CITY = later("Name a larger city with your time, like “Lisbon”.")
NAME_SHIFTS = later(
    "Write the hours you sleep on each shift, like “early 20:30-4:00, late 1:00-9:00, night 8:30-15:30”. "
    "Later say “late shift from Thursday”, and my quiet hours move with it."
)
SHIFTS_KNOWN = later("My quiet hours: {shifts}. Say which shift you are on now, like “early shift”.")
NO_SENSOR_YET = later("Then I'll just note. Say “sensor on” when it is.")
SENSOR_LONGER = later(
    "Good. When you know the day, write “sensor on since Thursday 19:00”, and I'll say when it ends."
)
SENSOR_YESTERDAY = later("If that hour is wrong, write “it was at 19:00”.")
HOW_FILES = later(
    "Most sensor apps, or the website behind them, have an export or download of your data, often under "
    "reports, sharing or your profile. Send me that file here as it is: a table, in any layout."
)
HOW_TYPED = later(
    "Write what you see when you look: “5.4”, or “5.4 at 9:10”. It helps most before a meal and each half "
    "hour after it."
)
HOW_POSTED = later(
    "Write /token: I'll make a key with which an automation on your phone can post readings by itself."
)
HOW_ANY = later(
    "Readings reach me as a file sent here, typed like “5.4 at 9:10”, or posted by your phone (/token)."
)
YOUR_UNIT = later("Your value is in {unit}, so I'll write glucose in {unit}. /settings changes that.")

LABEL_TOUR = later("Two-minute tour")
LABEL_SKIP = later("Skip")

Asked = tuple[str, tuple[Button, ...]]


def ask(topic: str, zones: Sequence[ZoneInfo], now: datetime) -> Asked:
    """Return one question with its buttons.

    zones: what the person's clock may be, the likeliest first
    """
    match topic:
        case "unit":
            return say(ASK_UNIT), _buttons(
                topic, [(later("mmol/L, like 5.4"), "mmol/L"), (later("mg/dL, like 98"), "mg/dL")]
            )
        case "zone":
            places = [(f"{numbers.clock(now, zone)} {_city(zone)}", zone.key) for zone in zones]
            return say(ASK_ZONE), _buttons(topic, [*places, (later("Another time"), OTHER)])
        case "nights":
            hours = ("22:00-06:00", "23:00-07:00", "00:00-08:00")
            nights = [(said.replace("-", " to "), said) for said in hours]
            by_day = (later("By day, 08:30 to 15:30"), "08:30-15:30")
            return say(ASK_NIGHTS), _buttons(topic, [*nights, by_day, (later("I work shifts"), SHIFTS)])
        case "sensor":
            since = [
                (later("Not yet"), NOT_YET),
                (later("Put on just now"), JUST_NOW),
                (later("Since yesterday"), YESTERDAY),
            ]
            return say(ASK_SENSOR), _buttons(topic, [*since, (later("Longer"), LONGER)])
        case _:
            ways = [
                (later("A file sent here"), FILED),
                (later("I type values"), TYPED),
                (later("My phone posts them"), POSTED),
            ]
            return say(ASK_READINGS), _buttons(topic, ways)


def tour_button() -> Button:
    """Return the button that begins the tour."""
    return Button(say(LABEL_TOUR), f"{TOUR}:begin")


def skip_button(topic: str) -> Button:
    """Return the button that leaves a question open."""
    return Button(say(LABEL_SKIP), f"{PRESS}:{topic}:{SKIP}")


def _buttons(topic: str, choices: Sequence[tuple[str, str]]) -> tuple[Button, ...]:
    made = [Button(rewrite(say(label)), f"{PRESS}:{topic}:{value}") for label, value in choices]
    return (*made, skip_button(topic))


def _city(zone: ZoneInfo) -> str:
    return zone.key.rpartition("/")[2].replace("_", " ")
