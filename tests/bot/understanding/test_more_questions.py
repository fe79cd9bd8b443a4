"""Questions in further voices, on Monday 2 March 2026 at 10:00; expected lines read through by eye."""

import pytest

from tests.bot.understanding.compact import context_at, read

ALL = [
    ("how does rice do", "food rice - to -"),
    ("how does pasta affect me?", "food pasta - to -"),
    ("whats oats doing 2 my sugar", "food oats - to -"),
    ("potatoes or rice, which is better for me", "food potatoes rice - to -"),
    ("which is worse, bread or pasta?", "food bread pasta - to -"),
    ("what happens when I eat pizza", "food pizza - to -"),
    ("can I eat banana?", "food banana - to -"),
    ("how many carbs in a banana", "food banana - to -"),
    ("does porridge spike me", "food porridge - to -"),
    ("how did the pizza do yesterday", "one_meal pizza 01.00:00 to 00:00"),
    ("what evenness did the lentil soup get on Sunday", "one_meal lentil soup 01.00:00 to 00:00"),
    ("score of lunch on Friday", "one_meal lunch 27.00:00 to 28.00:00"),
    ("how was the soup on Saturday?", "one_meal soup 28.00:00 to 01.00:00"),
    ("show me the curve of breakfast", "one_meal breakfast 00:00 to 10:00"),
    ("and dinner? how did that go yesterday", "one_meal dinner 01.00:00 to 00:00"),
    ("how did dinner go last night", "one_meal dinner 01.00:00 to 00:00"),
    ("was breakfast ok?", "one_meal breakfast 00:00 to 10:00"),
    ("does a walk after dinner help?", "habit walk - to -"),
    ("does vinegar help", "habit vinegar - to -"),
    ("is it better to eat salad first?", "habit salad first - to -"),
    ("do I do better when I sleep well", "habit sleep well - to -"),
    ("what's my fasting", "fasting * - to -"),
    ("fasting this week", "fasting * 23.00:00 to 10:00"),
    ("how are my mornings?", "fasting * - to -"),
    ("what is my morning glucose like", "fasting * - to -"),
    ("show Tuesday", "day * 24.00:00 to 25.00:00"),
    ("show me yesterday", "day * 01.00:00 to 00:00"),
    ("my average day", "day * 00:00 to 10:00"),
    ("what does my average day look like", "day * 00:00 to 10:00"),
    ("how was last week", "day * 23.00:00 to 00:00"),
    ("what did I eat on Sunday", "day * 01.00:00 to 00:00"),
    ("compare porridge with and without a walk", "trial * - to -"),
    ("can we do an experiment: banana with and without butter", "trial * - to -"),
    ("I want to test rice against pasta", "trial * - to -"),
    ("let's try a trial of vinegar", "trial * - to -"),
    ("how is the experiment going", "trial * - to -"),
    ("what should I try next", "plan * - to -"),
    ("any ideas what to eat tonight?", "plan * 00:00 to 10:00"),
    ("what's next?", "plan * - to -"),
    ("when do I need to sync", "status * - to -"),
    ("how long till I have to sync again", "status * - to -"),
    ("when did I last sync", "status * - to -"),
    ("how much insulin do I need for pizza?", "other * - to -"),
    ("should I take metformin", "other * - to -"),
    ("can I skip my pills", "other * - to -"),
    ("what dose should I take for 60 g carbs", "other * - to -"),
    ("worst lunch last month", "best_worst lunch 31.00:00 to 10:00"),
    ("top 5 since Friday", "best_worst * 27.00:00 to 10:00"),
    ("what was my best dinner between Friday and today", "best_worst dinner 27.00:00 to 10:00"),
    ("how do I change a time", "help * - to -"),
    ("how do I tell you about a walk", "help * - to -"),
    ("what can I type", "help * - to -"),
]


@pytest.mark.parametrize(("text", "expected"), ALL)
def test_question_is_understood(table, text, expected):
    assert read(text, context_at("10:00", table)) == expected
