"""Notes in further voices: movement, readings, nights, sensors, feelings, and times that lean on each other.

The expected lines were read through by eye: they are what the words mean, no outside source exists for them.
"""

import pytest

from tests.bot.understanding.compact import context_at, read

MOVEMENT = [
    (
        "08:00",
        "porridge, walked 15 min after",
        "breakfast 08:00~: porridge 250~ | light walk 15 min 08:00~slot",
    ),
    ("08:10", "2 eggs at 8, then walked 15 min", "breakfast 08:00: egg 100 | light walk 15 min 08:00~slot"),
    ("13:30", "soup at 12:30 then a 20 min stroll", "lunch 12:30: soup 300~ | light walk 20 min 12:45~slot"),
    ("20:00", "8000 steps", "light walk 20:00~"),
    (
        "20:00",
        "no walk today",
        "? I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”.",
    ),
    (
        "20:00",
        "didn't go to the gym today",
        "? I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”.",
    ),
    (
        "20:00",
        "skipped the gym",
        "? I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”.",
    ),
    ("20:00", "5 km run at 7", "moderate run 19:00"),
    ("20:00", "ran 5k this morning, 28 min", "moderate run 28 min 08:00~slot"),
    ("20:00", "easy jog 30min 6am", "light run 30 min 06:00"),
    ("20:00", "cycled to work 7:10, 25 min", "moderate cycle 25 min 07:10"),
    ("20:00", "bike to work and back, 20 min each way", "moderate cycle 20 min 19:40~"),
    ("20:00", "gym 6-7pm", "moderate workout 60 min 18:00"),
    ("20:00", "gym from 5 to 6", "moderate workout 60 min 17:00"),
    ("20:00", "swam 9-10 on Saturday", "moderate swim 60 min 28.09:00"),
    ("20:00", "spinning 45, 18.15", "moderate spinning 45 min 18:15"),
    ("20:00", "yoga 30 at 7", "light yoga 30 min 19:00"),
    ("20:00", "climbed the stairs for 5 min at 13:00", "moderate stairs 5 min 13:00"),
    ("20:00", "took the stairs to the 6th floor", "moderate stairs 20:00~"),
    ("20:00", "cleaned the house for an hour at 3pm", "light housework 60 min 15:00"),
    ("20:00", "hoovered and mopped 30 min at 4pm", "light housework 30 min 16:00"),
    ("20:00", "mowed the lawn 40 min at 5pm", "light mowing 40 min 17:00"),
    ("20:00", "walked the dog 20 mins at half past five", "light walk 20 min 17:30"),
    ("20:00", "hard interval session 25 min at 6pm", "hard HIIT 25 min 18:00"),
    ("20:00", "gentle swim, 40 minutes, noon", "light swim 40 min 12:00"),
    ("20:00", "power walk 6 15pm 20 min", "moderate walk 20 min 18:15"),
    ("20:00", "played football for an hour and a half at 4pm", "moderate football 90 min 16:00"),
    ("20:00", "carried boxes all day 8am-4pm", "moderate physical work 480 min 08:00"),
    ("20:00", "physical job, 8 h shift 7am-3pm", "moderate physical work 480 min 07:00"),
    (
        "14:30",
        "pizza 12:30, an hour before the walk, walk was 25 mins",
        "lunch 12:30: pizza 300~ | light walk 25 min 13:30",
    ),
    (
        "14:30",
        "Lunch an hour before the walk. Walk at 14:00 for 20 min. Lunch = 2 eggs",
        "light walk 20 min 14:00 | lunch 13:00: egg 100",
    ),
    (
        "16:00",
        "lunch at 12: soup. walked 20 min two hours after lunch",
        "lunch 12:00: soup 300~ | light walk 20 min 14:00",
    ),
    (
        "16:00",
        "run at 14:00 for 30 min, banana half an hour after the run",
        "moderate run 30 min 14:00 | snack 15:00: banana 120~",
    ),
    (
        "16:00",
        "banana before my run. run 3pm 30 min",
        "snack 15:00~slot: banana 120~ | moderate run 30 min 15:00",
    ),
    (
        "08:40",
        "banana at 7 then 20 min run at half past",
        "breakfast 07:00: banana 120~ | moderate run 20 min 07:30",
    ),
    ("21:00", "dancing class 7pm to 8:30pm", "moderate dance 90 min 19:00"),
    ("21:00", "went for a swim at quarter past 6, half an hour", "moderate swim 30 min 18:15"),
]

READINGS = [
    ("10:30", "101 at 8, 133 at 9, 110 at 10 mg/dl", "5.61 08:00 | 7.38 09:00 | 6.10 10:00"),
    ("10:30", "mg/dl: 101 at 8, 133 at 9", "5.61 08:00 | 7.38 09:00"),
    ("10:30", "it was five point six at nine", "5.60 09:00"),
    ("10:30", "glucose six point two now", "6.20 10:30"),
    ("10:30", "sugar seven at nine", "7.00 09:00"),
    ("10:30", "before breakfast at 7.30 it was 4.9, an hour later 7.7", "4.90 07:30 | 7.70 08:30"),
    ("10:30", "5.0 at 7:30, 30 min later 6.8, 2h later 5.5", "5.00 07:30 | 6.80 08:00 | 5.50 10:00"),
    ("10:30", "6.0 at 1h and 5.1 at 2h after the 8am porridge", "6.00 09:00 | 5.10 10:00"),
    ("10:30", "7:00 5.0; 7:30 5.8; 8:00 8.3", "5.00 07:00 | 5.80 07:30 | 8.30 08:00"),
    (
        "10:30",
        "porridge at 8. 7.9 after 45 min, 6.1 after 2 hours",
        "breakfast 08:00: porridge 250~ | 7.90 08:45 | 6.10 10:00",
    ),
    (
        "10:30",
        "porridge at 8: 5.1 before, 7.9 +45, 6.1 +120",
        "breakfast 08:00: porridge 250~ | 5.10 08:00 | 7.90 08:45 | 6.10 10:00",
    ),
    ("10:30", "meter says 5.8", "5.80 10:30~"),
    ("10:30", "fingerprick: 6.6 at 10", "6.60 10:00"),
    ("10:30", "bg 5.9 b4 brekkie 0700", "5.90 07:00"),
    ("10:30", "woke up at 5.1", "5.10 10:30~"),
    ("10:30", "fasting was 4.9", "4.90 10:30~"),
    (
        "10:30",
        "HI",
        "? HI or LO is no number: say the number your meter ends at instead, like “2.2 at 9:10”.",
    ),
    (
        "10:30",
        "sensor says LO",
        "? HI or LO is no number: say the number your meter ends at instead, like “2.2 at 9:10”.",
    ),
    (
        "10:30",
        "meter showed HI at 9",
        "? HI or LO is no number: say the number your meter ends at instead, like “2.2 at 9:10”.",
    ),
    ("10:30", "yesterday 22:00 6.3 and today 7:00 5.2", "6.30 01.22:00 | 5.20 07:00"),
    ("10:30", "peaked at 8.9 at 9:15 then back to 5.6 at 10", "8.90 09:15 | 5.60 10:00"),
]

NIGHTS = [
    ("08:30", "went to bed at 10.30, up at 6", "sleep 01.22:30 to 06:00"),
    ("08:30", "bed 2330 woke 0655", "sleep 01.23:30 to 06:55"),
    ("08:30", "slept like a log, 10 till 7!", "sleep 01.22:00 to 07:00"),
    ("08:30", "asleep ~midnight, alarm 6:30", "sleep 00:00 to 06:30"),
    ("08:30", "last night 22-5 sleep", "sleep 01.22:00 to 05:00"),
    ("08:30", "fell asleep at 1, woke up at 8", "sleep 01:00 to 08:00"),
    ("08:30", "slept 7 hours", "sleep 01:30 to 08:30"),
    ("08:30", "slept 7h, woke at 6", "sleep 01.23:00 to 06:00"),
    ("08:30", "bed at 11pm, slept 7 h", "sleep 01.23:00 to 06:00"),
    ("20:00", "slept 7 hours", "? From when to when did you sleep? Say it like “slept 23:00 to 6:30”."),
    ("08:30", "got 6 and a half hours of sleep", "sleep 02:00 to 08:30"),
    ("08:30", "lights out 22:45, awake at 5:30", "sleep 01.22:45 to 05:30"),
    ("08:30", "in bed by 11, got up at 7", "sleep 01.23:00 to 07:00"),
    ("14:00", "night shift, slept 7 to 13", "sleep 07:00 to 13:00"),
    ("15:30", "napped from 2 to 3", "sleep 14:00 to 15:00"),
    ("15:30", "20 min nap", "sleep 15:10 to 15:30"),
    ("15:30", "power nap 25 min at 14:00", "sleep 14:00 to 14:25"),
    ("06:10", "just woke up", "sleep - to 06:10"),
    ("08:30", "sleep: 23:40 - 06:50", "sleep 01.23:40 to 06:50"),
    (
        "08:30",
        "bad night, slept 1-5, stressed",
        "feeling bad night 08:30 | sleep 01:00 to 05:00 | feeling stressed 08:30",
    ),
]

SENSORS = [
    (
        "08:30",
        "sensor died last night around 11pm, new one on this morning 7:15",
        "sensor ended 01.23:00 | sensor started 07:15",
    ),
    ("08:30", "applied sensor no 2 on left arm, 0800", "sensor started 08:00"),
    ("08:30", "new sensor on my left arm at 8", "sensor started 08:00"),
    ("08:30", "put the sensor on the right arm", "sensor started 08:30"),
    (
        "08:30",
        "ripped it off on a door frame, the sensor i mean",
        "sensor ended 08:30 | left “door frame” | left “sensor i mean”",
    ),
    (
        "14:30",
        "sensor fell off at 1, put new one at 1:30, synced",
        "sensor ended 13:00 | sensor started 13:30 | sync 14:30",
    ),
    ("14:30", "replaced the sensor at 12", "sensor ended 12:00 | sensor started 12:00"),
    ("14:30", "sensor swap done at noon", "sensor ended 12:00 | sensor started 12:00"),
    ("14:30", "sensor peeled off in the pool", "sensor ended 14:30"),
    ("14:30", "second sensor is on", "sensor started 14:30"),
    ("14:30", "took my sensor out, day 14", "sensor ended 14:30 | left “14”"),
    ("14:30", "sensor got knocked off at 9", "sensor ended 09:00"),
    ("14:30", "sensor stopped working at 6am", "sensor ended 06:00"),
    ("14:30", "synced at 8 and at 14", "sync 08:00 | sync 14:00"),
    ("14:30", "scanned at 6, fasting 5.1, no food yet", "sync 06:00 | 5.10 14:30~"),
    ("14:30", "read out the sensor", "sync 14:30"),
    ("14:30", "sync 10 min ago", "sync 14:20"),
]

FEELINGS = [
    ("08:30", "I have a cold", "feeling ill 08:30"),
    ("08:30", "got a cold since yesterday", "feeling ill 01.12:00"),
    ("08:30", "day 2 of my period, cramps", "feeling period 08:30"),
    ("08:30", "on my period", "feeling period 08:30"),
    ("08:30", "really stressed, big deadline", "feeling stressed 08:30 | left “big deadline”"),
    ("08:30", "had a terrible night", "feeling bad night 08:30"),
    ("08:30", "barely slept", "feeling bad night 08:30"),
    ("08:30", "couldn't sleep", "feeling bad night 08:30"),
    ("08:30", "slept really badly", "feeling bad night 08:30"),
    ("08:30", "slept well", "feeling good night 08:30"),
    ("08:30", "hungover", "feeling hungover 08:30"),
    ("08:30", "too much wine last night", "feeling alcohol 01.20:00"),
    ("08:30", "I'm coming down with something", "feeling ill 08:30"),
    ("08:30", "sore throat and a fever", "feeling ill 08:30"),
    ("08:30", "threw up at 6", "feeling ill 06:00"),
    ("08:30", "so tired after the night shift", "feeling tired 08:30"),
    ("08:30", "not feeling well", "feeling ill 08:30"),
    ("08:30", "under the weather", "feeling ill 08:30"),
    ("08:30", "feeling a bit shaky at 8", "feeling shaky 08:00"),
    ("08:30", "2 eggs, feeling great", "breakfast 08:30~: egg 100 | feeling great 08:30"),
]

LEANING_TIMES = [
    (
        "21:40",
        "at 8 had eggs, at 1 a pizza, at 7 pasta",
        "breakfast 08:00: egg 100~ | lunch 13:00: pizza 350 | dinner 19:00: pasta 200~",
    ),
    ("21:40", "6pm-ish dinner: rice", "dinner 18:00: rice 180~"),
    ("21:40", "coffee at 3, breakfast eggs at 8", "drink 15:00: coffee 200~ | breakfast 08:00: egg 100~"),
    ("10:00", "coffee at 6 and again at 8", "drink 06:00: coffee 200~ | drink 08:00: coffee 200~"),
    ("10:00", "a coffee at 7, another at 9:30", "drink 07:00: coffee 200~ | drink 09:30: coffee 200~"),
    ("15:00", "eggs on 2026-03-01 at 4:20", "breakfast 01.04:20: egg 100~"),
    ("15:00", "eggs yesterday at 4:20pm", "snack 01.16:20: egg 100~"),
    ("20:00", "dinner at 7:30: rice", "dinner 19:30: rice 180~"),
    ("20:00", "rice at 6:45 in the evening", "dinner 18:45: rice 180~"),
    (
        "08:00",
        "dinner at 23:00",
        "? What did you eat for dinner? Say it like “dinner at 23:00: soup and bread”.",
    ),
    ("13:00", "lunch", "? What did you eat for lunch? Say it like “lunch: soup and bread”."),
    (
        "13:00",
        "had breakfast at 7",
        "? What did you eat for breakfast? Say it like “breakfast at 7: soup and bread”.",
    ),
    ("15:00", "gestern 20:00 rice", "dinner 01.20:00: rice 180~"),
    ("15:00", "soup at half past", "lunch 14:30: soup 300~"),
    ("15:00", "soup at 12, then a banana an hour later", "lunch 12:00: soup 300~ | snack 13:00: banana 120"),
    (
        "15:00",
        "8.30 breakfast porridge, 1.30 lunch soup, now coffee",
        "breakfast 08:30: porridge 250~ | lunch 13:30: soup 300~ | drink 15:00: coffee 200~",
    ),
    ("15:00", "soup 10 mins ago", "lunch 14:50: soup 300~"),
    ("15:00", "soup earlier today, at 12 30pm", "lunch 12:30: soup 300~"),
]

MORE_TIMES = [
    ("04:10", "lunch on the night shift at 1: rice and chicken", "lunch 01:00: rice 180~, chicken 140~"),
    ("22:10", "rice roughly 3 hours back", "dinner 19:10: rice 180~"),
    ("22:10", "had toast first thing", "breakfast 08:00~slot: toast 60~"),
    ("22:10", "a banana mid morning", "snack 10:30: banana 120"),
    ("22:10", "the day before: pizza at 8pm", "dinner 01.20:00: pizza 300~"),
    ("22:10", "Sat lunch: pizza", "lunch 28.12:30~slot: pizza 300~"),
    ("22:10", "soup at quarter to one", "lunch 12:45: soup 300~"),
    ("22:10", "breakfast 7: oats, lunch 1: soup", "breakfast 07:00: oats 50~ | lunch 13:00: soup 300~"),
    (
        "22:10",
        "7am oats 1pm soup 7pm rice",
        "breakfast 07:00: oats 50~ | lunch 13:00: soup 300~ | dinner 19:00: rice 180~",
    ),
    ("22:10", "8.45 - banana", "breakfast 08:45: banana 120~"),
    ("22:10", "banana just before 9", "snack 21:00: banana 120~"),
    ("22:10", "banana a bit after 9", "snack 21:00: banana 120~"),
    (
        "22:10",
        "5.1 before dinner at 7, 8.0 one hour after, 6.1 two hours after",
        "5.10 19:00 | 8.00 20:00 | 6.10 21:00",
    ),
    ("22:10", "rice at 7. 1h: 8.2, 2h: 6.9", "dinner 19:00: rice 180~ | 8.20 20:00 | 6.90 21:00"),
    ("22:10", "it's 5.6 now", "5.60 22:10"),
    ("22:10", "rice at 7, 8.1 1h after the rice", "dinner 19:00: rice 180~ | 8.10 20:00"),
    ("22:10", "coffee at 8 2 eggs", "dinner 20:00: coffee 200~, egg 100"),
]

NOT_EATEN = [
    ("15:00", "will have pasta at 8", "nothing “will have pasta at 8” | ? HOW TO SAY IT"),
    ("15:00", "buy milk, eggs and bread", "nothing “buy milk, eggs and bread” | ? HOW TO SAY IT"),
    (
        "15:00",
        "had 2 eggs, might have pizza later",
        "snack 15:00~: egg 100 | left “might have pizza”",
    ),
    ("15:00", "not hungry", "nothing “not hungry” | ? HOW TO SAY IT"),
    ("15:00", "pasta at 12:30, dog walk 30 min at 2pm", "lunch 12:30: pasta 200~ | light walk 30 min 14:00"),
]

SMALL_TALK = [
    ("08:00", "thanks", "? You are welcome."),
    ("08:00", "thank you!", "? You are welcome."),
    ("08:00", "ok", "? Good. Tell me the next thing you eat, like “2 slices rye toast at 7:15”."),
    ("08:00", "ok thanks", "? You are welcome."),
    ("08:00", "great, cheers", "? You are welcome."),
    ("23:00", "good night", "? Good night. Tell me when you are up, like “slept 23:00 to 6:30”."),
    ("08:00", "good morning", "? Hello. Tell me what you eat, like “2 slices rye toast and an egg at 7:15”."),
    ("08:00", "👍 thx", "? You are welcome."),
]

ALL = MOVEMENT + READINGS + NIGHTS + SENSORS + FEELINGS + LEANING_TIMES + MORE_TIMES + NOT_EATEN + SMALL_TALK


@pytest.mark.parametrize(("now", "text", "expected"), ALL)
def test_note_is_understood(table, now, text, expected):
    assert read(text, context_at(now, table)) == expected
