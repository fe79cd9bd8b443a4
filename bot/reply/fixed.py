"""Standing texts: the welcome, help, and the cautions, each shown once at the moment it matters."""

import textwrap
from collections.abc import Sequence

from bot.language.texts import later, say
from bot.model.units import GlucoseUnit

HOW_TO_SAY = "Say it like “2 slices toast with butter at 7:15”, “5.4 at 9:10” or “synced”."


def in_unit(text: str, unit: GlucoseUnit) -> str:
    """Return a text with its examples of readings in the person's unit."""
    if unit == "mmol/L":
        return text
    shown = text.replace("5.4 at 9:10", "98 at 9:10").replace("5.8 at 9:10", "104 at 9:10")
    return shown.replace("or “104 mg/dl”", "or “5.4 mmol/l”")


LEFT_OUT = later("I left out: {words}.")
MOST_ECHOED = 200
"""So many characters of somebody's own words are said back."""


def say_left_out(words: Sequence[str]) -> str:
    """Say which words were used for nothing."""
    return say(LEFT_OUT, words=shorten(", ".join(f"“{word}”" for word in words)))


def shorten(words: str) -> str:
    """Return what of somebody's words is said back."""
    return textwrap.shorten(words, MOST_ECHOED, placeholder=" …")


NOT_HERE = "What that button was about is not here any more, so there is nothing to change."
TAKEN_BACK = "That note was taken back before, so there is nothing to change."

NOT_YET = "I can't answer that yet."

SHARING = (
    "“Compare my porridge with someone” makes a code to hand over; nothing crosses before both agree, and "
    "“stop sharing” ends it."
)
MEANING = later(
    "Evenness is a meal's score from 0 to 100: 100 is a line that stays flat for two hours after the "
    "first bite; "
    "points go for the rise, for the area under the curve and for how long it takes to come back. A "
    "dip is where the "
    "line falls below its start afterwards, and a sync fetches the sensor's readings."
)

WHERE_FROM = (
    "Grams are yours where you said them; otherwise they are a usual portion from survey tables, and "
    "I say “my guess”. "
    "What 100 g hold comes from public food composition tables. Wrong for yours? “No, 150 g rice” "
    "sets it right."
)

ASK_A_CLINICIAN = (
    "I say nothing about medicines or doses: ask your doctor or diabetes team. What you eat, I can show you: "
    "ask “how was lunch?”."
)

PREGNANCY = (
    "In pregnancy other limits hold and diet is for you and your midwife or doctor to plan; please take "
    "these readings to them. I'll go on noting what you tell me."
)

NO_DIAGNOSIS = (
    "I can't tell that: a sensor is not a blood test, and I don't diagnose. The line at 7.8 mmol/L "
    "(140 mg/dL) is only a reference. If a value worries you, show it to your doctor."
)

UNWELL = "If that does not pass soon, or comes with a very low or high reading, get medical advice."

PARKED = (
    "Sorry, I failed three times to read your message from {when}. Nothing of it is noted; if it "
    "was something "
    "to note, please write it once more, in other words."
)

BROKEN = "Sorry, something went wrong on my side: nothing of that message is noted."
BROKEN_KEPT = (
    "Sorry, something went wrong on my side. I'll keep your message and try it again when I restart."
)

OVERTAKEN = (
    "“{said}” reaches me late, and you have written since: which note do you mean? Answer to that note with "
    "it, or press its button."
)

ERASE = (
    "This deletes everything I hold about you: notes, readings, your words, settings and reminders. Nobody "
    "can bring it back."
)
ERASE_BUTTON = "Delete everything"
ERASED = (
    "Everything about you is deleted. What stands in this chat is yours to delete. Write anything to begin "
    "anew."
)
ERASE_OLD = "That button is an hour old, so nothing was deleted. Write /erase again if you mean it."

BROKEN_PHOTO = "broken photo"
_NO_EARS = later(
    "I can't listen to voice notes, sorry: please write it, like “150 g pasta with tomato sauce at 13:00”."
)
_NO_EYES = later("I can't watch films, sorry: please write it, or send me a photo of your plate.")
_THANKS = later("Thank you! I understand words best: write me what you eat, and I'll note it.")
NO_WORDS = {
    "": f"That message was empty. {HOW_TO_SAY}",
    "photo": later("Your photo didn't reach me: please send it once more, or write what was on the plate."),
    BROKEN_PHOTO: later("I couldn't open that picture: please send it as a photo, not as a file."),
    "voice": _NO_EARS,
    "audio": _NO_EARS,
    "video": _NO_EYES,
    "video note": _NO_EYES,
    "sticker": _THANKS,
    "animation": _THANKS,
    "dice": _THANKS,
}
"""What is said to a message without words, by what it was instead."""

NO_WORDS_OTHER = f"I can only read text and files of readings. {HOW_TO_SAY}"

VINEGAR = "Vinegar is hard on tooth enamel and can be on the stomach: dilute it, and rinse with water after."
CINNAMON = (
    "Cassia cinnamon holds coumarin: about 2 g a day is the usual limit for an adult, Ceylon holds little."
)

VERY_LOW = (
    "{value} is very low. A sensor shows this too when you lie on it; check with a finger-prick. If you "
    "feel unwell, or it is confirmed, get medical advice."
)
VERY_HIGH = (
    "{value} is high for someone without diabetes. A sensor alone proves nothing; if it repeats, show it "
    "to your doctor."
)

TOKEN_HOW = (
    "Write /token for a new token that lets your phone post readings, or /token off to end the one you have."
)

TOKEN_MADE = (
    "A new token, with which a phone automation can post your readings; an earlier one has ended. Whoever "
    "has it can add readings for you and read nothing. I show it this once and keep only its fingerprint: "
    "copy it, then delete this message. If none stands below, write /token again; /token off ends it."
)

TOKEN = (
    "\n{token}\n\n"
    "It is used like this, with the address at which your phone reaches the bot:\n"
    'curl -H "Authorization: Bearer {token}" --data-binary @readings.csv {address}/readings'
)

TOKEN_ENDED = "Your token has ended: nothing can be posted with it any more. /token makes a new one."

NO_TOKEN = "You have no token. /token makes one, with which a phone automation can post your readings."

REPORT_LEVEL = (
    "The level before a meal is the middle value of the readings just before the first bite. From there the "
    "area of the two hours after it counts, above the level and below it."
)
REPORT_EVENNESS = (
    "Evenness goes from 0 to 100: points go for the rise, for the area, for time above a reference line and "
    "for a dip below the level."
)
REPORT_METHODS = (
    "Foods and habits are judged together, in one model of all meals with a curve of their own: what a food "
    "adds is asked at like portions, like company on the plate, the same sensor and the same meal of the "
    "day. What one person's month can't part is said to be unknown. Ranges hold in about nine of ten cases.",
    "A sensor reads the fluid under the skin, some minutes behind the blood, and differs from the next "
    "sensor by up to a few tenths of a mmol/L (5 mg/dL or so). Small differences between two sensors are "
    "not yours.",
)
REPORT_MEDICINE = (
    "You told me of a medicine: ask whoever prescribed it before you change when you move or what you eat."
)
REPORT_CAUTIONS = (
    "This is a diary, not a medical device, and nothing here is a diagnosis. Please ask a clinician about "
    "values below 3.9 or above 11.1 mmol/L (70 and 200 mg/dL), and about a level of 7.0 mmol/L (126 mg/dL) "
    "or more before breakfast on several days. Ask, too, before you change how you eat when you take "
    "medicines for glucose, are pregnant or have had an eating disorder.",
    "A flat line is not the only aim: fibre, protein, vegetables and enough to eat count as well, and a "
    "meal that raises glucose may be a good meal.",
)

INVITATION = (
    "Hand this code to one person you trust. They send it to me within 7 days and can then keep a diary of "
    "their own; neither of you sees the other's."
)
INVITATIONS_OUT = later(
    "Ten of my invitations wait for somebody to take them. Please hand out one of those first; "
    "each ends 7 days after it was made."
)
NO_INVITING = later(
    "Only whoever took my first invitation can invite; whoever runs me can with “tablenote invite”."
)
MORE_ASKED = "I answered your first four questions. Please ask me the others again."
