"""Common words that name no food: where nothing else is known of a phrase, these alone make no dish.

The list is of everyday English (people, places, times, doings, judgements), written from memory. It is only
asked about words that the food table does not know, so a word that is in some food's name does no harm.
"""

from collections.abc import Sequence

from bot.understanding.words.wordlists import word_set

_LEAST_LETTERS = 2

_PEOPLE = word_set(
    "i me my mine myself we us our ours you your yours he him his she her hers it its they them their theirs "
    "who whom whose someone somebody anyone anybody everyone everybody nobody none people person man men "
    "woman women guy guys girl girls boy boys lad lads lady kid kids child children baby toddler teenager "
    "adult mum mom mother mama dad father papa parents son sons daughter daughters brother sister grandma "
    "grandpa gran granny grandad grandson granddaughter nephew niece aunt auntie uncle cousin cousins wife "
    "husband partner boyfriend girlfriend fiance friend friends mate mates buddy pal family colleague "
    "colleagues boss team crew manager client clients customer customers patient patients doctor nurse "
    "teacher student driver neighbour neighbours neighbor neighbors guest guests host dog dogs cat cats mrs "
    "mr miss sir folks lot bunch group couple party wedding birthday funeral christening anniversary"
)
PLACE_WORDS = word_set(
    "home house flat room kitchen garden office work job site shop shops store supermarket market mall town "
    "city village street road corner park beach sea mountain mountains hill field fields farm church temple "
    "mosque school uni university college class classroom lecture lab library hospital ward clinic surgery "
    "pharmacy "
    "dentist station bus train tram car truck van lorry plane flight airport taxi ferry boat bike hotel pub "
    "bar diner club cafe café restaurant canteen cafeteria buffet stall terminus depot garage gym pool "
    "studio court "
    "court pitch court hall theatre cinema museum bed sofa couch desk table door window stairs "
    "bathroom shower "
    "toilet machine fridge freezer oven microwave counter place places upstairs downstairs outside "
    "inside out "
    "abroad away around there here somewhere anywhere everywhere nowhere way country world"
)
_TIMES = word_set(
    "time times second seconds minute minutes hour hours day days night nights week weeks weekend "
    "month months "
    "year years today tonight tomorrow yesterday morning mornings afternoon evening evenings noon midday "
    "midnight now then soon later earlier early late lately recently already still yet again once "
    "twice thrice "
    "always never often sometimes usually normally mostly rarely daily before after during since until till "
    "while when whenever whilst first last next finally meanwhile monday tuesday wednesday thursday friday "
    "saturday sunday mon tue tues wed weds thu thurs fri sat sun rd st nd th am pm start end "
    "beginning middle "
    "break shift shifts overtime session holiday vacation trip journey ago oclock clock"
)
_GLUE = word_set(
    "a an the this that these those and or but nor so because bc cause cos coz though although however if "
    "unless than as at by for from in into of off on onto over to too up down with within without about "
    "above across against along among between beside besides beyond near behind below under through "
    "throughout towards upon via per plus minus vs versus also else instead except only just even "
    "ever really "
    "very quite rather pretty fairly almost nearly hardly barely maybe perhaps probably possibly definitely "
    "certainly surely actually basically literally honestly obviously apparently hopefully unfortunately "
    "luckily sadly anyway anyways whatever like kinda sorta kind sort type thing things stuff bit bits piece "
    "some any all both each every either neither no not none nothing something anything everything much many "
    "more most less least few several enough extra same other others another such own which what where why "
    "how whether one ones oh ok okay yes yeah yep nope nah well hey hi hello hiya bye um er hmm "
    "oops lol haha "
    "lmao omg wow ugh meh phew yay tbh ngl idk imo btw fyi pls please plz thanks thx ta cheers sorry right "
    "sure alright etc eg ie nt dont doesnt didnt cant wont isnt wasnt wouldnt couldnt shouldnt im ive id ill "
    "youre thats theres heres whats hes shes its were theyre lets gonna wanna gotta o u r ur n b c k x xx xxx"
)
_DOING = word_set(
    "be am is are was were been being do does did done doing have has had having can could will would shall "
    "should may might must ought need needs needed used go goes went gone going come comes came coming get "
    "gets got gotten getting give gives gave given giving take takes took taken taking make makes "
    "made making "
    "keep keeps kept keeping let lets put puts putting set sets setting say says said saying tell tells told "
    "telling talk talked talking ask asks asked asking call calls called calling speak spoke think thinks "
    "thought thinking know knows knew known guess guessed feel feels felt feeling seem seems seemed "
    "look looks "
    "looked looking see sees saw seen seeing watch watched watching hear heard listen find finds "
    "found finding "
    "lose lost losing try tries tried trying want wants wanted wish hope hopes hoped plan plans planned "
    "decide decided forget forgot forgotten remember remembered believe mean means meant understand "
    "like likes "
    "liked love loves loved hate hates hated prefer enjoy enjoyed start starts started starting begin began "
    "stop stops stopped stopping finish finished finishing end ended continue stay stayed staying "
    "leave leaves "
    "left leaving arrive arrived return returned bring brings brought carry carried carrying hold held move "
    "moved moving turn turned open opened close closed push pushed pull pulled pick picked picking drop "
    "dropped throw threw fall fell fallen sit sat sitting stand stood standing lie lay laid lying "
    "sleep slept "
    "sleeping wake woke waking drive drives drove driven driving ride rode riding fly flew travel travelled "
    "walk walked walking run ran running work worked working play played playing study studied studying read "
    "write wrote writing type typed learn teach meet met meeting visit visited join joined help helped wait "
    "waited waiting buy buys bought buying pay paid sell sold spend spent order ordered ordering "
    "serve served "
    "serving cook cooked cooking bake baked prepare prepared wash washed clean cleaned fix fixed "
    "check checked "
    "checking log logged logging note noted record recorded record send sent show showed share "
    "shared sharing "
    "split eat eats ate eaten eating drink drinks drank drunk drinking taste tasted tasting chew "
    "swallow bite "
    "snack snacked grab grabbed grabbing nibble nibbled munch munched scoff scoffed devour wolf "
    "wolfed gobble "
    "skip skipped skipping miss missed fast fasted fasting resist manage managed managing struggle happen "
    "happened happens change changed changing swap swapped add added remove removed delete deleted cancel "
    "count counted measure measured weigh weighed guess estimate reckon suppose supposed assume crave craved "
    "craving cheat cheated treat treated treating reward deserve deserved regret regretted "
    "celebrate celebrated "
    "rush rushed rushing hurry relax relaxed rest rested resting chill chilled chat chatted "
    "complain lol bother "
    "crash crashed crashing conked zonked judge judging blame moan complain complaining scan "
    "scanned sync synced upload stick stuck fancy fancied fell spill spilled spilt waste wasted bin binned "
    "squeeze squeezed force forced offer offered invite invited feed fed refuse refused let pass passed cope"
)
_JUDGING = word_set(
    "afraid glad sorry caught catch catching good better best great nice lovely fine bad worse "
    "worst awful terrible horrible gross disgusting yum yummy "
    "tasty delicious amazing awesome perfect decent bland boring usual normal regular typical "
    "standard proper "
    "real true false wrong right easy hard difficult quick slow fast busy free tired sleepy "
    "exhausted knackered "
    "shattered hungry starving full stuffed thirsty sick ill unwell poorly well healthy unhealthy happy sad "
    "angry stressed anxious nervous worried annoyed bored lazy proud guilty naughty cheeky silly "
    "stupid crazy "
    "weird strange funny random lucky new old young big small little tiny huge massive large long short high "
    "low tall deep wide heavy light empty ready sure certain possible impossible important special different "
    "same similar whole half main single double total alone together quiet loud hot cold warm cool wet dry "
    "clean dirty cheap expensive fancy posh favourite favorite famous local homemade leftover leftovers "
    "remaining final recent daily private public social personal professional actual tempting rubbish sort "
    "mistake error problem issue reason idea question answer point fact case matter truth lie joke "
    "story news "
    "sensor sensors cgm reader scanner sync patch argument appointment interview shower bath haircut parcel "
    "package delivery letter film episode concert gig star mood foul puzzle battery charger keys shoes "
    "clothes "
    "paracetamol ibuprofen aspirin painkiller painkillers antibiotics antibiotic tablet tablets medication "
    "service rounds dear bot duty poker bingo quiz cards milking deposition court seminar workshop "
    "conference "
    "polite uphill downhill rushed far beautiful gorgeous "
    "glorious freezing boiling brilliant fantastic wonderful pleasant peaceful quiet "
    "gloomy "
    "laundry dishes homework paper papers rent bill bills knee ankle wrist headset weekend visitors "
    "style styles flavour flavours flavor flavors kind kinds colour list number amount size portion "
    "portions quantity rest remainder part side top bottom front back left "
    "middle inside hand hands head face mouth stomach tummy belly arm arms leg legs back foot feet body skin "
    "blood heart brain mind eyes hair throat tooth teeth phone app bot message text email picture "
    "photo video "
    "tv film movie book music game games match test exam exams revision homework project deadline "
    "meeting call "
    "zone push pull reps sets set sets appetite diet calories energy weight mood luck fun effort "
    "control money "
    "bag box plate bowl cup glass mug fork spoon knife pan pot tray packet wrapper bottle can tin "
    "jar weather "
    "rain snow sun wind storm heat fire light dark noise traffic queue delay accident emergency "
    "life death love "
    "drama habit routine schedule promise excuse choice option decision goal target limit rule rules try go"
)
PLAIN_WORDS = _PEOPLE | PLACE_WORDS | _TIMES | _GLUE | _DOING | _JUDGING
"""Words of everyday English that are no food by themselves."""


SAYS_LITTLE = (_TIMES | _GLUE | _JUDGING | PLACE_WORDS) - word_set(
    "no not none nothing n't dont doesnt didnt cant wont bar bowl box roll plate pot stick tray cup"
)
"""Words that may be left out of a name: what is left means the same."""


def holds_name(words: Sequence[str]) -> bool:
    """Tell whether any of the words may be a name of food that is not known here."""
    return any(not is_plain(word) for word in words)


def is_plain(word: str) -> bool:
    """Tell whether a word is one of the plain ones, or a form of one."""
    bare = word.split("'")[0]
    return len(bare) < _LEAST_LETTERS or bare in PLAIN_WORDS or _is_form(bare)


def _is_form(word: str) -> bool:
    return any(
        word.endswith(end) and word.removesuffix(end) in PLAIN_WORDS for end in ("s", "ing", "ed", "ly")
    )
