"""Danger outranks arithmetic: sentences that get no amounts, whatever else they ask."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.text import plain

# Cyrillic and Greek letters that pass for Latin ones.
_DIGITS: Final = str.maketrans("013", "oie")
_LOOKALIKES: Final = str.maketrans("асеіӏорхуѕԁһαορν", "aceilopxysdhaopv")

_TOGETHER = (
    r"(pre-?mix\w*|mix(ed|ing)?|combine|blend|together|same (bottle|jug|time)|one (bottle|jug)|"
    r"at once)"
)
_PARTS = r"(a (and|&|n|\+) b|both|undiluted|concentrates?)"
_BLEACHED = r"(vinegar|acid|ammonia|peroxide|ph[ -]?down|cleaner|chlorine)"

_WIRED = r"(plugs?|outlets?|sockets?|cords?|cables?|power (?:strip|bar)|extension|electrics?)"
_SOAKED = r"(splash\w*|wet|soaked|under ?water|buzz\w*|humming|damp|flooded|puddle)"

_RULES: Final[dict[str, tuple[str, ...]]] = {
    "dry_roots": (
        r"\broots?\b(?! (are|is) not)(?! (aren't|isn't|arent|isnt))[^.?!]{0,40}"
        r"\b(dry|drying|dried|bone)\b",
        r"\bdry(ing)? roots?\b|\bplants? (are |is )?wilting\b|\bran dry\b",
        r"\bpump\b[^.?!]{0,30}\b(broken?|broke|dead|died|stopped|quit|stuck)\b",
        r"\bpump (is |has |was )?(not|isn't|isnt|won't|wont|stopped) (working|running|on|start)\b",
        r"\bpower( is|'s| was| went| has| just)*( went)? (out|cut|gone|failed)\b",
        r"\bpump('s| has| is)? (packed in|conked|given up|burnt out|burned out|fried)\b",
        r"\b(block|street|grid|neighbou?rhood) (is |has )?(been )?(out|without|dark)\b",
        r"\bno water\b[^.?!]{0,25}\b(coming|dripping|at the top|running)\b|\b(nothing|not|isn't|isnt|stopped) drip\w*",
        r"\b(storm|transformer|fuse|breaker)\b[^.?!]{0,30}\b(knocked|blew|blown|tripped|took)\b|\blost power\b",
        r"\bpump\b[^.?!]{0,15}\b(won't|wont|doesn't|doesnt|isn't|isnt|not|never)\b[^.?!]{0,12}\b(start|run|turn|work|pump|lift|come|going)\w*",
        r"\bpump\b[^.?!]{0,20}\b(silent|humming|clogged|seized|burn\w*|smok\w*)\b",
        r"\bpump\b[^.?!]{0,20}\b(suck\w* air|gulp\w* air|gurgl\w*|runn\w* dry|grinding)\b",
        r"\bpump\b[^.?!]{0,15}\b(isn't|isnt|not|no)\b[^.?!]{0,10}\b(noise|sound)\b",
        r"\bpump\b[^.?!]{0,20}\b(unplugged|off since|slurp\w*)|\bforgot to (turn|switch|plug)[^.?!]{0,20}\bpump\b",
        r"\b(no flow|not getting|isn'?t getting|isn'?t reaching|not reaching)\b[^.?!]{0,8}\b(at|to|the) (the )?top\b|\btimer (has |is )?(died|dead)\b",
        r"\broots? (are |have |all )?(shrivel\w*|crisp\w*)|\bplants? (are |look |looking )+(all )?(droopy|limp|wilted)\b",
        r"\bpower ?(cut|outage)\b|\bno (power|electricity|generator)\b(?! (bill|cost|charge|used))|\b(outage|blackout)\b",
        r"\belectric(ity)?\b[^.?!]{0,15}\b(gone|out|off|cut|failed)\b(?! up)",
        r"\blights?( are| is| went| have gone| all)* (out|off)\b[^.?!]{0,20}\b(house|street|block|building|town|village)\b",
        r"\b(lower|lowest|bottom|upper|top)\b[^.?!]{0,6}\b(levels?|tiers?|rows?|ports?)\b[^.?!]{0,10}\bdry\b",
        r"\bpump (is|was|has been|went) off (for|since)\b[^.?!]{0,12}\b(\d+|hours?|hrs?|days?|night|morning|yesterday|noon)\b",
        r"\bwithout (electricity|power)\b",
    ),
    "electric": (
        r"\b(electric shock|shocked|sparks?|electrocut\w*)\b",
        r"\b(got|get|gets|gives?|gave)( me)? (a )?shocks?\b(?! dose)",
        r"\b(zap\w*|bare wires?|smoke|smoking|burning smell|chewed (cable|cord|wire)|timer box)\b|\blittle shocks?\b",
        r"\b(rcd|gfci|breaker|fuse)\b[^.?!]{0,12}\btrip\w*|\bmelted (plug|adapter|cable|cord|socket)\b|\b(plug|adapter) is (hot|melted)\b",
        r"\bwet (plug|outlet|socket|cord|cable)\b",
        rf"\b{_WIRED}\b[^.?!]{{0,30}}\b{_SOAKED}\b|\b{_SOAKED}\b[^.?!]{{0,30}}\b{_WIRED}\b",
        rf"\bwater (on|in|over|near|under) (the |my |a )?{_WIRED}\b|\btower (fell|tipped)\b[^.?!]{{0,30}}\b{_WIRED}\b",
        r"\b(plug|outlet|socket|cord|cable)\b[^.?!]{0,15}\bwet\b",
        rf"\b(water|puddle|leak\w*|spill\w*|drip\w*)\b[^.?!]{{0,40}}\b(near|by|next to|at|under|over|on|around|into?)\b[^.?!]{{0,12}}\b{_WIRED}\b",
        r"\bwater (on|in) the (plug|outlet|socket)\b|\btingl\w*\b",
        r"\b(plug|cord|strip)\b[^.?!]{0,30}\b(puddle|wet|soaked)\b",
        r"\b(puddle|wet|soaked)\b[^.?!]{0,30}\b(plug|power strip|cord|outlet)\b",
    ),
    "bleach_mix": (
        rf"\bbleach\b[^?!]{{0,80}}\b{_BLEACHED}\b",
        rf"\b{_BLEACHED}\b[^?!]{{0,80}}\bbleach\b",
    ),
    "contact": (
        rf"\b{_TOGETHER}\b[^?!.]{{0,60}}\b({_PARTS}|parts|bottles)\b",
        rf"\b{_PARTS}\b[^?!.]{{0,60}}\b{_TOGETHER}\b",
        r"\ba ?\+ ?b\b[^?!.]{0,20}\b(jug|bottle|drum|neat|bucket)\b",
        r"\bconcentrate\b[^?!.]{0,20}\b(plus|and|with)\b[^?!.]{0,20}\bconcentrate\b",
    ),
    "acid": (
        r"\b(sulph?uric|nitric|phosphoric|muriatic|hydrochloric|battery acid|acid|h2so4|hno3|h3po4|hcl|(drain|toilet) cleaner|descaler|lemon juice|home-?made ph)\b",
        r"\bph ?(minus|down|up|plus)?\b.{0,12}\bpools?\b",
    ),
    "medical": (
        r"\b(ibuprofen|aspirin|paracetamol|medicine|headache|swallow\w*)\b",
        r"\b(kid|child|baby|son|daughter|he|she|i|toddler) (ate\b(?! \d)|(drank|drunk|licked|swallowed)\b(?! (about |another )?\d+(\.\d+)? ?(gal|l\b|lit|in)))",
        r"\b(dog|cat|puppy|kitten|rabbit|hen|chickens?)\b[^.?!]{0,25}\b(drank|drunk|ate|eaten|licked|chewed|swallowed)\b",
        r"\b(swig|sip|gulp|mouthful)\w*\b[^.?!]{0,30}\b(bottle|feed|nutrients?|part|tank)\b",
        r"\bhow (much|many)\b[^.?!]{0,40}\b(to (drink|gargle|swallow)|baby bottle|drinking water)\b",
        r"\b(in|into) (her|his|their|my) mouth\b|\b(hands?|skin) (burns?|itch\w*)\b|\bfumes\b",
        r"\b(drank|drunk|ate|licked|swallowed)\b[^.?!]{0,30}\b(bottle|feed|nutrients?|part|bleach)\b",
        r"\b(my|the|his|her|their) eyes?\b|\beye rinse\b|\bit? ?(stings?|burns)\b|\bstings?\b|\bpoison\w*\b",
    ),
    "eat": (
        r"\bsafe\b[^.?!]{0,30}\b(kids?|child\w*|family|serve|give|supper|dinner|salad|harvest|pick)\b",
        r"\b(safe|fine|ok|okay|alright|good|bad) (to|for) (eat|eating|drink|drinking|supper)\b",
        r"\bcan (i|we|you|they) (still )?(eat|drink|serve)\b|\bedible\b|\b(grey|white) fuzz\b",
    ),
    "algae": (r"\balgae\b|\bgreen (slime|water|film|gunk)\b|\bslime\b",),
    "chemicals": (
        r"\b(bleach|h2o2|h202|chlorine|vinegar|ammonia|peroxide|algaecide|fungicide|copper (sulph?ate|pennies|coins|wire)|baking soda|soap|detergent|"
        r"epsom)\b",
    ),
    "pests": (
        r"\b(aphids?|mites?|thrips|whitefl\w*|mildew|fungus|neem|pesticides?|"
        r"insecticid\w*|spray|caterpillars?|slugs?|bugs|insects?|bacteria)\b",
    ),
}
_COMPILED: Final = tuple(
    (about, re.compile("|".join(f"(?:{pattern})" for pattern in patterns)))
    for about, patterns in _RULES.items()
)


_CLEANING: Final = re.compile(
    r"\b(sanit\w*|disinfect\w*|sterili\w*|clean\w*|empt\w+|drained|scrub\w*|rinse\w*|between (crops|plantings)|bare|no plants|season'?s? (is )?(done|over)|bleach (wash|run)|plants are out|"
    r"end of season)\b"
)
_ALIVE: Final = re.compile(
    r"\b(algae|slime|mold|mould|fungus|lettuces?|basil|kale|spinach|chard|crops? in|(?<!nothing )growing|tomato\w*|peppers?|strawberr\w*|cucumbers?|herbs?|salad|food|fruit\w*|vegetables?|veg|plants? (are )?(still|in)|with (the )?(plants|lettuce)|roots?|leaves|drink\w*|eat\w*)\b"
)
# What is gone already: "the slime is scrubbed off", "no plants in it".
_DONE_WITH: Final = re.compile(
    r"\b(?:slime|algae|film|gunk)(?:'s| is| has been| all| was)* (?:all )?(?:scrubbed|wiped|cleaned|rinsed|gone|off)|"
    r"\b(?:scrubbed|wiped|cleaned|rinsed) (?:off |out |away )?(?:all |the worst of |most of )?(?:the )?(?:slime|algae|film|gunk)|"
    r"\b(?:last of )?the (?:lettuces?|basil|kale|spinach|chard)(?: is| are| came| come)? (?:out|gone|pulled|composted)|"
    r"\bno (?:plants|roots)(?: (?:still|left))?(?: in(?: it| there)?)?|\bwithout plants\b"
)
_OTHER_CHEMICALS: Final = re.compile(
    r"\b(chlorine|vinegar|ammonia|peroxide|algaecide|fungicide|copper|epsom|acid|detergent|soap|cleaner|alcohol|ph (?:minus|plus|down|up))\b"
)


def danger(text: str) -> str | None:
    """What makes this sentence one for the safety sentences, or None."""
    undisguised = plain(text).casefold().translate(_LOOKALIKES)
    joined = re.sub(r"\b(?:\w[ .*_-]){3,}\w\b", _closed_up, undisguised)
    joined = re.sub(r"\b[a-z]{2,}[013]+[a-z]+\b", lambda word: word[0].translate(_DIGITS), joined)
    found = next((about for about, rule in _COMPILED if rule.search(joined)), None)
    return None if found in ("chemicals", "algae") and _only_cleans(joined) else found


def _only_cleans(text: str) -> bool:
    """Bleach for an empty tank, and nothing else in the sentence: the coach's rate answers that."""
    others = _OTHER_CHEMICALS.search(text) or _ALIVE.search(_DONE_WITH.sub(" ", text))
    told = _CLEANING.search(text) or re.search(r"\d ?(?:%|per ?cent)", text)
    return "bleach" in text and others is None and told is not None


def _closed_up(spaced: re.Match[str]) -> str:
    """ "b l e a c h" -> bleach"""
    return re.sub(r"[ .*_-]", "", spaced[0])


_BOTH = 2
# The tower, not its feed: "just put the thing together".
_BUILT: Final = re.compile(
    r"\b(?:the|this|my|our) (?:whole )?(?:thing|tower|kit|lot) put together\b|\b(?:put(?:ting)?|got) (?:it|this|everything|(?:the|my|our|this) (?:whole )?(?:thing|tower|kit|lot)) (?:all )?together\b"
)
_MET: Final = re.compile(
    r"\b(mix|mixing|mixed|stir|shake|blend|add|pour|put|dump|tip|combine|chuck)\b[^.?!]{0,50}"
    r"\b(together|same|each other|at once|straight|before (i|it|they|you|adding|going|putting))\b"
)
_ONE_VESSEL: Final = re.compile(
    r"\b(same|1|one|single) (big |large |small |empty |old )?(bottle|jug|cup|container|syringe|bucket|drum|jar|can)\b|"
    r"\binto the \w+ bottle\b|\b(milky|cloudy) with\b|"
    r"\b(pre-?mix\w*|combine|blend|undiluted|neat|concentrates?)\b|"
    r"\b(mix|pour|dump|tip|put|shake|store|keep)\b[^.?!]{0,40}\b(together|in a cup|in 1 go)\b"
)


def parts_meet(text: str, book: Book) -> str | None:
    """The feed's own parts, undiluted, in one vessel: said with their names."""
    low = _BUILT.sub(" ", text.casefold())
    named = [n for n in part_names(book) if re.search(rf"\b{re.escape(n)}\b", low)]
    both = len(named) >= _BOTH or re.search(r"\b(both|all|the two) (bottles|parts)\b", low)
    asks = not re.search(r"\d", low) and _MET.search(low) is not None
    into = any(
        re.search(rf"\binto (?:the )?(?:bottle (?:of )?)?{re.escape(n)}\b", low) for n in named
    )
    asks = asks or into or bool(re.search(r"\b(cup|jug|bottle|bucket|syringe|jar) with\b", low))
    return "contact" if both and (_ONE_VESSEL.search(low) or asks) else None


def part_names(book: Book) -> set[str]:
    """What the parts of the feeds are called; "a" and "b" always."""
    return {p.name.casefold() for f in book.feeds for p in f.parts} | {"a", "b"}
