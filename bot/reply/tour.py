"""What the tour of two minutes says: one meal, one file, one curve."""

from bot.language.texts import later, say
from bot.model.messages import Button

PRESS = "tour"
BEGIN, MEAL, SAMPLE, END, DROP = "begin", "meal", "sample", "end", "drop"
SAMPLE_MEAL = "150 g cooked rice, 120 g grilled chicken and broccoli"

STEP_MEAL = later(
    "First a meal. Write the last one you had, as you would to a friend: “2 slices rye toast with butter and "
    "a boiled egg at 7:15”. No meal at hand? I'll invent one."
)
NOTED_INVENTED = later("Noted a lunch that I invented, “{meal}”, on {day} at {clock}.")
STEP_FILE = later(
    "Then readings. Send me a file of your sensor's, in any layout; if you have none yet, look at one that "
    "I invented."
)
STEP_SAMPLE = later("With an invented lunch, “{meal}”, and an invented file of {n} readings:")
STEP_CURVE = later(
    "That is all there is to it: you write, you send readings, I draw. Ask “how was lunch?”, or say “help”."
)
MARKED = later("These readings are invented.")
SAMPLE_GONE = later("The invented sample is taken out; nothing of it is left.")
NO_SAMPLE = later("There is no invented sample in your record.")
HAS_READINGS = later("You have readings of your own: ask “how was lunch?” for a curve.")
ENDED = later("Good. Write what you ate last, or “help” at any time.")
LABEL_REMOVE = later("Remove the sample")


def buttons(*names: str) -> tuple[Button, ...]:
    """Return the buttons of a step."""
    labels = {
        MEAL: later("Invent a meal"),
        SAMPLE: later("Use an invented file"),
        END: later("End the tour"),
        DROP: LABEL_REMOVE,
    }
    return tuple(Button(say(labels[name]), f"{PRESS}:{name}") for name in names)
