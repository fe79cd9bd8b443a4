"""Something to say for each thing that can be asked, as it is offered where words were not understood."""

from collections.abc import Iterable

from bot.language.texts import later
from bot.model.messages import Button
from bot.reply.help import Example
from bot.understanding.questions.sorts import Sort

PRESS = "say"
"""What such a button stands for: words that are heard as if they had been written."""
MOST_BYTES = 60
OFFER = later("Or is it one of these?")

SAYABLE: dict[Sort, str] = {
    "ranking": "Best and worst this week",
    "curve": "How was {slot}?",
    "why": "Why was {slot} so high?",
    "meal nutrients": "How many carbs was {slot}?",
    "effect": "What does {food} do to me?",
    "portion": "What if I had half the {food}?",
    "which foods": "Which foods raise me most?",
    "kind foods": "Which foods are kind to me?",
    "leave out": "What had I better leave out?",
    "lever": "Does a walk help?",
    "habits": "What do my habits do?",
    "fasting": "What's my fasting?",
    "day": "Show today",
    "average day": "Average day",
    "weekends": "Weekdays against weekends",
    "waking": "Average day from waking",
    "run": "How complete is my record?",
    "report": "Send me the report",
    "servings": "Show all my {food}",
    "variants": "Versions of my {slot}",
    "summary": "Summary",
    "eating window": "How long between meals?",
    "total": "Carbs so far today",
    "daily nutrients": "Fibre per day on average",
    "since last": "How long since {food}?",
    "entries": "What did I eat today?",
    "progress": "Is it improving?",
    "good days": "What makes a good day?",
    "moved after": "How much do I move after meals?",
    "movement": "How much did I walk last week?",
    "trial": "Start a test",
    "trial progress": "How is the test going?",
    "plan": "What is worth trying?",
    "abilities": "Help",
    "meaning": "What does evenness mean?",
    "privacy": "Who can see this?",
    "where from": "Where does the number come from?",
    "record": "Status",
    "sync": "When did I last sync?",
    "sensor": "Days left on this sensor?",
    "settings": "What do you know about me?",
}
"""What ends something, shares something or is a doctor's to answer is not offered."""


def offer(sorts: Iterable[Sort], example: Example, most: int = 3) -> tuple[Button, ...]:
    """Return buttons that say what is likest, in words of the person's own foods."""
    said = [SAYABLE[sort].format(food=example.food, slot=example.slot) for sort in sorts if sort in SAYABLE]
    short = [words for words in said if len(words.encode()) <= MOST_BYTES]
    return tuple(Button(words, f"{PRESS}:{words}") for words in short[:most])
