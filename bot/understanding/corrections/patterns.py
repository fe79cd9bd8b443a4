"""The words that corrections are made with, as patterns, and how long they may be."""

import re

from bot.understanding.pieces.numerals import NUMBER_WORDS

# What stands before or behind a correction and says nothing of its own.
POLITE = re.compile(
    r"^(?:(?:please|kindly|hey|hi|hello|ok|okay|but|so|well|um|uh|er|bot|i think|i believe|i guess|i'm afraid"
    r"|(?:can|could|would|will) (?:you|u)|you (?:can|should)|i(?:'d| would) like (?:you )?to"
    r"|i (?:need|want) to|let's|that's a mistake)[ ,:.!-]+)+"
    r"(?=(?:undo|scrap|scratch|cancel|delete|remove|forget|take|ignore|strike|erase|disregard|discard|change"
    r"|swap|replace|make|add|correct|fix|move|set|leave|it|that|the)\b)"
)
TRAILING = re.compile(
    r"(?:,? (?:(?:i )?forgot to (?:say|mention|add|tell you|write)|really|actually|though|btw|by the way"
    r"|instead|sorry|please|thanks|thank you|in fact|of course|tbh|lol|haha"
    r"|my bad|my mistake|oops|x+))+$"
)
OTHER_ENTRIES = frozenset(
    {
        "reading",
        "readings",
        "value",
        "sleep",
        "nap",
        "sensor",
        "sync",
        "scan",
        "feeling",
        "workout",
        "activity",
    }
)
OWNING_UP = re.compile(
    r"[,;.!-]+ *(?:i|my|it was)\b[^,;.\d]*\b(?:wrong|wrongly|badly|mistake|miscounted|counted|forgot"
    r"|misread|fault"
    r"|mixed|confused)\b[^,;.\d]*$"
)
# "I believe I told you wrong yesterday: it was one potato" begins by owning up to a mistake.
MISTAKEN = re.compile(
    r"(?:[^\d,:;.!?]*\b(?:wrong|mistake|mistaken|error|typo|misremembered|misspoke|lied|mixed (?:it|that"
    r"|them) up"
    r"|incorrect|incorrectly)\b[^\d,:;.!?]*)[,:;.!-]+ *(?P<rest>.+)"
)
UNDO = re.compile(
    r"/?(?:(?:please|no|oops|sorry|wait|ah|actually|damn)[ ,]+)*(?:undo|get rid of|wipe|scrap|scratch"
    r"|cancel|delete|remove|forget|take back|ignore|strike|erase|disregard"
    r"|discard|drop|bin)"
    r"(?: (?:that|this|it|(?:the |my |that )?(?:last|previous)(?: (?:one|entry|note|meal|message|text"
    r"|thing))?"
    r"(?: i (?:said|sent|wrote|told you))?"
    r"|(?:everything|what|all that|the thing) i (?:just )?(?:said|sent|wrote|told you)"
    r"|the (?:meal|entry|note)|that (?:one|meal|entry|note)|my last \w+))?(?: please)?"
)
# What takes the last entry back without a word for it.
NOT_SO = re.compile(
    r"(?:(?:no|sorry|oops|wait|actually|ah|oh)[ ,:!.-]+)*"
    r"(?:(?:i |we )?(?:didn'?t|did not|never) (?:actually |really )?(?:eat|have|had|ate|drink|do"
    r"|did) (?:that|it|this|any of it)"
    r"(?: (?:after all|in the end|at all|today|yet))?"
    r"|(?:that|it) (?:never|didn'?t|did not) happen(?:ed)?|never happened"
    r"|(?:that|it|this) (?:was|is|were)(?:n't| not) (?:me|mine|my (?:food|meal|plate|lunch|dinner|breakfast))"
    r"|(?:that|it|this)(?: one)? (?:was|is) (?:for )?my (?:wife|husband|partner|son|daughter|friend"
    r"|boyfriend|girlfriend)"
    r"(?:'s)?(?: (?:food|meal|plate|lunch|dinner|breakfast))?(?:,? not (?:me|mine|my own))?"
    r"|not mine|(?:that|it|this) was (?:all )?(?:a mistake|an error|wrong|by mistake)|sent (?:that "
    r"|it )?by mistake"
    r"|take (?:that|it) back|i take (?:that|it) back|false alarm)"
)
# "wait, delete that, i didnt eat the burger": openings before, a reason behind.
UNDO_BECAUSE = re.compile(
    r"(?:(?:no|sorry|oops|wait|actually|ah|oh|please|can you|could you)[ ,:!.-]+)*"
    rf"(?P<undo>{UNDO.pattern})[ ,:;.!-]+(?P<why>(?:i|it|that|he|she|we|they|because|as|wrong|by|"
    rf"not|never)\b.*)"
)
BARE_UNDO = frozenset(
    {"remove", "delete", "forget", "ignore", "strike", "erase", "take back", "cancel", "scrap", "scratch"}
)
REMOVE = re.compile(
    r"(?:please |oh |no, |sorry, |and |but )*(?:remove|delete|undo(?= the)|strike(?= the)|cut(?= the)|nix"
    r"|take (?:out|off|away)"
    r"|leave out|scratch|"
    r"scrap(?= the)|ditch|cancel(?= (?:the|my|today|yesterday))|lose(?= the)|bin(?= the)|ignore(?= the)"
    r"|drop|skipped"
    r"|(?:there|it) (?:was|were|had) no|i (?:did not|didn'?t) (?:have|eat|drink)|i left (?:out|off)"
    r"|i skipped)\b[ ,:]*"
    r"(?:the |any |my |today's |yesterday's |last night's )?(.+)"
)
NO_FOOD = re.compile(
    r"(?:(?:wait|sorry|actually|oops|ah|oh|and|but|also|with|it was)[ ,]+)*"
    r"(?:without|no|minus|skip|hold|left (?:off|out)|(?:did not|didn'?t) (?:have|eat|drink"
    r"|touch))\b (?:the |any )?(?!.* "
    r"(?:was|were|is|are) )([^,]+?)(?:,? (?:after all|actually|sorry))?"
)
ADD = re.compile(
    r"(?:please |oh,? |no, |sorry,? |oops,? |and )*(?:(?:i )?forgot(?: to (?:add|mention|say|log|write|"
    r"note|tell you))?(?! to)|add|i also had|also add)\b"
    r"(?: (?:that )?i (?:had|ate|drank))?(?: about)?"
    r"[ ,:]*(?:the )?(.+)"
)
HELPING = re.compile(
    r"(?:(?:i|and|then|also|oh) )*(?:had|took|ate|went back for) (?:a |an |some )?"
    r"(?:second|another|extra|more|second helping|seconds)\b(?: (?:helping|portion|plate|bowl|slice|"
    r"piece|lot))?s?"
    r"(?: of)? (?:the )?(?P<food>[^,]+)"
)
SOME_MORE = re.compile(
    r"(?:(?:i|and|then|also|oh|had|ate|took)[ ,]+)*(\d+|one|two|three|four|a few|a couple|half a|a|an) "
    r"(?:more |extra |other )(.+)"
)
MORE = re.compile(r"\b(?:more|another|extra)\b(?! like)")
HAD_TOO = re.compile(
    r"(?:the |my |it |that )?(?P<whole>.+?)? ?(?:also |actually )?(?:had|has|came with"
    r"|contained) (?:some |a bit of )?"
    r"(?P<part>.+?) (?:in|on|with) (?:it|them|top|that)(?: too| as well)?"
)
WITH_AMOUNT = re.compile(
    r"(?:the |my )?(?P<food>[^\d,]+?) (?:was|were) [^,]+, (?:about |only |maybe |roughly "
    r"|around )*(?P<much>\d[^,]*)"
)
IN_ANOTHER = re.compile(r" (?:in|into|on|to|with) (?:the|my) [a-z]+(?=,|$)")
AND_TOO = re.compile(
    r"(?:and |also |plus |oh and |with |[+&] ?|there (?:was|were) also )+(?P<food>.+)"
    r"|(?P<too>[^,]+) (?:too|as well)"
)
AMEND = re.compile(
    r"(?:no|nope|nah|eh|er|um|hmm|excuse me|pardon(?: me)?|sorry|oops|wait|ah|\*|actually|never ?mind"
    r"|correction|please correct|correct|fix|update|wrong(?: time)?|(?:i )?meant|i mean|i said"
    r"|(?:i made a |my )?mistake|my bad|typo|i misspoke|apologies|my apologies|i was mistaken|hang "
    r"on|hold on|i got (?:that|it) wrong|i was wrong|edit"
    r"|make (?:that|it)|(?:it |that |i )?(?:started|began)|it was|this (?:was|is)|they were|there (?:was"
    r"|were)"
    r"|that was|that'?s|it is|it'?s|(?:it |that |this )?should(?:'ve| have)? (?:be|been|say|read)"
    r"|(?:put|log|move|shift|file) (?:that|it|this) (?:on|for|to|under|as|at|in)"
    r"|(?:that|it|this) (?:counts|counted) as|(?:that|it|this) was (?:supposed|meant) to be"
    r"|(?:i )?meant to (?:say|write|put)|rather|not quite|oh|"
    r"(?:the )?time (?:was|is|should be)"
    r"|change (?:(?:that|it|(?:the )?time) )?to|set (?:that|it|(?:the )?time) to|i (?:had|ate|"
    r"drank) (?:it|that|them))(?:[ ,:.;!-]+|(?<=\*)|$)"
)
# These open ordinary notes as well: alone they make no correction of what has no amount, time or slot.
WEAK = frozenset(
    {"started", "began", "it started", "i started", "it began", "i began", "that started", "that began"}
    | {"it was", "this was", "this is", "they were", "there were", "there was", "that was", "that's", "thats"}
    | {"eh", "er", "um", "hmm", "excuse me", "oh", "it is", "it's", "its", "no", "sorry", "wait", "ah"}
)
CHANGE = re.compile(
    r"(?:(?:please )?(?:change|set|make) )?(?:the )?(.+?) (?:was|were|to|should be|(?=more like|closer to)) ?"
    r"(?:about |more like |only |closer to |actually |nearer |just )*"
    rf"(\S*[\d½¼¾].*|(?:a |one |{'|'.join(NUMBER_WORDS)}|half|quarter|third|double)\b.*)"
)
MOVED = re.compile(
    r"(?:the |my )?(.+?) (?:was|were) (?:actually |really )?((?:at |yesterday|today|last |on |this "
    r").+|yesterday)"
)
NOT_BEHIND = re.compile(r"(.+?),? (?:not|and not|rather than|instead of) (?:a |an |the )?(\S+(?: \S+)?)")
REPLACE = re.compile(
    r"(?:(?:please|no|sorry|actually|oops|can you|could you)[ ,]+)*(?:swap|replace|exchange|switch|change)"
    r" (?!it |that |this )(?:the |my )?(.+?) (?:out )?(?:for|with|by|to|into) (?:the |a |an "
    r")?(.+?)(?: please)?"
)
KIND = re.compile(
    r"(?:the |my )?(.+?) (?:was|were|is) (?:actually |really |in fact )?([^\d½¼¾]+?)"
    r"(?: btw| actually| though)?"
)
# "I said jam but it was honey", "jam -> honey", "the jam should be honey".
SAID_BUT = re.compile(
    r"i (?:said|wrote|put|typed|logged|noted)(?: it was)? (?:the |a |an )?(?P<old>.+?),? (?:but |and "
    r"|when )?(?:i )?"
    r"(?:it was|it'?s|it is|it should (?:be|have been)|meant|had|ate|actually had)(?: really"
    r"| actually)? (?P<new>.+)"
    r"|(?P<was>[^\d]+?) ?(?:->|=>|→|>) ?(?P<is>.+)"
    r"|(?:the )?(?P<first>[^\d]+?) (?:should (?:be|have been)) (?:the |a |an )?(?P<second>[^\d]+)"
)
INSTEAD = re.compile(r"(.+?),? (?:instead of|rather than|and not|not|in place of) (?:the |a |an )?(.+)")
WAS_NOT = re.compile(
    r"(?:(?:it|that|they|the \w+) )?(?:wasn'?t|was not|weren'?t|isn'?t) (?:a |an |the )?(.+?),? "
    r"(?:but|it was|it'?s|that was|they were|just)(?: actually)? (?:a |an )?(.+)"
)
NOT_BUT = re.compile(
    r"(?:it was |that was )?not (.+?)(?:,? (?:but|only|just|it was) |, ?)(?:only |just |it was )*(.+)"
)
MOST_NAME = 40
SURE_KIND = 0.8
MOST_CHARS = 300  # nobody corrects at greater length
HOW_TO_SAY = "What should I change? Say it like “no, 150 g rice”, “it was at 8:15” or “remove the butter”."
