"""The words that corrections are made with, as patterns, and how long they may be."""

import re

from bot.understanding.numerals import NUMBER_WORDS

UNDO = re.compile(
    r"/?(?:please )?(?:undo|scrap|scratch|cancel|delete|remove|forget|take back|ignore|strike|erase)"
    r"(?: (?:that|this|it|(?:the )?last(?: one| entry| note| meal)?|my last \w+"
    r"|the (?:meal|entry|note)|that (?:one|meal|entry|note)|everything i just said))?(?: please)?"
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
    r"(?:please |oh |no, |sorry, )*(?:remove|delete|take (?:out|off|away)|leave out|scratch|"
    r"scrap(?= the)|ditch|cancel(?= the)|lose(?= the)|bin(?= the)|ignore(?= the)|drop|skipped"
    r"|there (?:was|were) no|i (?:did not|didn'?t) (?:have|eat|drink)|i left out|i skipped)\b[ ,:]*"
    r"(?:the |any |my )?(.+)"
)
NO_FOOD = re.compile(
    r"(?:(?:wait|sorry|actually|oops|ah|oh)[ ,]+)*(?:without|no|minus|skip)\b (?:the |any )?(?!.* "
    r"(?:was|were|is|are) )([^,]+?)(?:,? (?:after all|actually|sorry))?"
)
ADD = re.compile(
    r"(?:please |oh,? |no, |sorry,? |oops,? )*(?:(?:i )?forgot(?: to (?:add|mention|say|log|write|"
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
SOME_MORE = re.compile(r"(\d+|one|two|three|four|a few|a couple|half a) more (.+)")
IN_ANOTHER = re.compile(r" (?:in|into|on|to|with) (?:the|my) [a-z]+(?=,|$)")
AND_TOO = re.compile(r"(?:and |also |plus |oh and )+(.+)")
AMEND = re.compile(
    r"(?:no|nope|nah|sorry|oops|wait|ah|\*|actually|correction|wrong(?: time)?|(?:i )?meant|i mean|i said"
    r"|(?:i made a |my )?mistake|my bad|typo|i misspoke|apologies|my apologies|i was mistaken|hang "
    r"on|hold on|i got (?:that|it) wrong|i was wrong|edit"
    r"|make (?:that|it)|it was"
    r"|that was|that'?s|it is|it'?s|(?:it |that |this )?should (?:be|have been)|rather|not quite|oh|"
    r"(?:the )?time was"
    r"|change (?:(?:that|it|(?:the )?time) )?to|set (?:that|it|(?:the )?time) to|i (?:had|ate|"
    r"drank) (?:it|that|them))(?:[ ,:.;!-]+|(?<=\*)|$)"
)
# These open ordinary notes as well: alone they make no correction of what has no amount, time or slot.
WEAK = frozenset(
    {"it was", "that was", "that's", "thats", "oh", "it is", "it's", "its", "no", "sorry", "wait", "ah"}
)
CHANGE = re.compile(
    r"(?:(?:please )?(?:change|set|make) )?(?:the )?(.+?) (?:was|were|to|should be) "
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
INSTEAD = re.compile(r"(.+?),? (?:instead of|rather than|and not|not|in place of) (?:the |a |an )?(.+)")
WAS_NOT = re.compile(
    r"(?:it|that|they|the \w+) (?:wasn'?t|was not|weren'?t|isn'?t) (?:a |an |the )?(.+?),? "
    r"(?:but|it was|it'?s|that was|they were|just)(?: actually)? (?:a |an )?(.+)"
)
NOT_BUT = re.compile(r"not (.+?)(?:,? but |, ?)(.+)")
MOST_NAME = 40
SURE_KIND = 0.8
MOST_CHARS = 300  # nobody corrects at greater length
HOW_TO_SAY = "What should I change? Say it like “no, 150 g rice”, “it was at 8:15” or “remove the butter”."
