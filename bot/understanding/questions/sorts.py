"""The questions that the bot tells apart, each with what `Question.about` says of it outside."""

from typing import Literal

from bot.model.entries import About

Sort = Literal[
    "ranking", "curve", "why", "meal nutrients", "effect", "compare", "which foods", "carbs in", "lever",
    "fasting", "day", "average day", "weekends", "summary", "eating window", "total", "daily nutrients",
    "since last", "entries", "movement", "trial", "plan", "abilities", "how to say", "meaning", "where from",
    "record", "sync", "sensor", "settings", "medicine", "diagnosis", "a1c", "unknown",
    "shifts", "waking", "run", "servings", "report", "leave out", "kind foods", "variants", "portion",
    "felt", "progress", "good days", "moved after", "habits", "trial progress", "trial stop", "trial later",
    "share", "week", "runs", "privacy", "listed", "as text", "found", "all held", "night",
]  # fmt: skip

ABOUT: dict[Sort, About] = {
    "ranking": "best_worst",  # best and worst, of all meals or of one slot
    "curve": "one_meal",  # how was lunch
    "why": "one_meal",  # what made this one climb
    "meal nutrients": "one_meal",  # how many carbs was that
    "effect": "food",  # what does rice do to me, should it go
    "portion": "food",  # half the rice next time
    "compare": "food",  # porridge or toast
    "which foods": "food",  # which foods raise me most
    "kind foods": "food",  # which foods are kind to me
    "leave out": "food",  # should the muesli go, what had I better leave out
    "carbs in": "food",  # how many carbs in a banana
    "lever": "habit",  # does a walk help
    "habits": "habit",  # what do my habits do, all of them
    "felt": "habit",  # when I'm tired, is my glucose low
    "fasting": "fasting",  # the level on waking
    "day": "day",  # how was yesterday
    "average day": "day",
    "weekends": "day",  # weekdays against weekends
    "shifts": "day",  # early against late shifts, or any two kinds of day
    "waking": "day",  # the average day from waking
    "run": "status",  # how complete is my record
    "report": "status",  # the page of the whole run
    "servings": "food",  # all servings of one food or meal
    "variants": "food",  # what was changed in a meal that is eaten again and again
    "week": "day",  # review my week
    "runs": "day",  # compare my runs
    "summary": "day",  # mean, spread and time in range of a span
    "eating window": "day",  # first and last bite, gaps between meals
    "total": "day",  # carbs so far today
    "daily nutrients": "day",  # fibre per day on average
    "since last": "day",  # how long since polenta
    "entries": "day",  # what did I eat on Tuesday
    "progress": "day",  # is it improving, are my last ten days steadier than the first
    "good days": "day",  # what makes a good day
    "moved after": "day",  # how often do I walk after meals
    "movement": "day",  # how much did I walk last week
    "trial": "trial",  # test one thing against another
    "trial progress": "trial",  # how is the test going, what is due today
    "trial stop": "trial",  # end the test
    "trial later": "trial",  # not today
    "share": "other",  # one meal of mine beside somebody else's, and the end of that
    "plan": "plan",  # what to eat or try next
    "abilities": "help",  # what can you do
    "how to say": "help",  # how do I change a time
    "meaning": "help",  # what does evenness mean
    "privacy": "help",  # who can read this, how do I get it out or erase it
    "where from": "help",  # where does the number come from
    "record": "status",  # have you got everything from Monday
    "sync": "status",  # when did I last sync
    "sensor": "status",  # days left on this sensor
    "settings": "status",  # which unit am I on
    "medicine": "other",  # what dose should I take
    "diagnosis": "other",  # am I diabetic
    "a1c": "other",  # what is my A1c
    "unknown": "other",
}
"""What each sort is about."""

ONLY_NAMED: dict[Sort, About] = {
    "listed": "day",  # today: its entries, a button each
    "as text": "day",  # Tuesday as text
    "found": "food",  # everything with buckwheat
    "all held": "status",  # what do you hold about me, send me all my data
    "night": "day",  # how was last night; with “food” as its subject: how long without food
}
"""These are asked by whole sentences of their own only (`listed.py`, `held.py`) and weighed against none."""


FIRST = "first"
"""What a question of progress is against: the first days of the run."""
USUAL_DAYS = 28
"""How far back an analysis over days looks when no span is named: as long as two sensors last."""
