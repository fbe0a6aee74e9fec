"""The English of faults: what joins, denies, softens and mends what is told of a part.

The words of the trade stand in the catalogue (``FindingRule.told``). All are in the one form that
``findings_said`` compares by: small letters, one of a thing, "not" for "n't".
"""

from __future__ import annotations

import re


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


def _names(words: str) -> tuple[str, ...]:
    return tuple(words.split(", "))


BREAKS = _set(
    "; ( ) - . but though although however except excepting apart while whereas otherwise yet so "
    "because since aside besides only just save bar than which"
)
RUNS_ON = frozenset(
    {"only", "just", "but", "though", "although", "(", "-"}
)  # after these the part goes on
AND = frozenset({"and", "&", "or", "nor", ",", "plus"})
FILLERS = _set(
    "is are was were be been being a an the its it one two three four some few several couple of "
    "very badly quite rather really pretty slightly bit little lot has have had got all also both "
    "on in both my this that these those there completely totally heavily fairly well"
)
SLACK = FILLERS - {"in", "on", "well", "little", "all", "it"}  # within a told phrase
ARTICLES = frozenset({"the", "a", "an", "its", "my", "any", "both", "all", "that", "this"})
INSIDE = frozenset({"in", "on", "of", "to", "inside", "within", "between", "from", "for"})
HOLDS = frozenset({"in", "on", "of", "inside", "within", "from"})  # what follows has the fault
HAVING = frozenset({"with", "has", "have", "had", "whose"})
NEAR = _set("near by at under below towards toward beside next around close above behind")
VERBS = _set("is are was were has have had show need want do will can")
DENIALS = _set(
    "no not never none nothing neither nor without hardly barely scarcely zero free minimal nil "
    "negligible less least cannot little nowhere"
)
DEGREES = _set(
    "minimal negligible little less least hardly barely scarcely"
)  # no denial of a danger
AFTER_DENIED = _set("none nil minimal negligible zero free nonexistent little")
PREFIXES = _set("no without minus lack need")  # what they say follows them
GOOD = _set(
    "new good perfect excellent tight sound mint fine solid great nice clean original complete "
    "replaced reground rescraped scraped reconditioned rebuilt renewed straight crisp"
)
MENDED = _set(
    "replaced repaired fixed rebuilt renewed mended sorted cured overhauled reconditioned "
    "reground rescraped rewired corrected fitted welded brazed rectified refurbished rebushed "
    "eliminated resolved remedied"
)
NOT_DONE = _set(
    "need needed want to be should can could must easily not never will would require requiring "
    "easy needing get if before until easy unless"
)
MILD = _set(
    "slight slightly light lightly minor little bit some small normal usual typical average "
    "expected tiny touch hint usable"
)
HEDGES = _set(
    "may might maybe perhaps possibly probably could think believe suspect seem appear guess "
    "assume was were had used"
)
CONDITIONS = _set("if whether inspect beware avoid unless ensure prevent against")
AVAILABLE = _set("can could available cost cheap easy still to")  # "new ones can be had"
ADVICE = frozenset(
    {"look for", "check for", "check any", "check that", "watch for", "make sure"}
    | {"would suit", "someone who", "someone with", "anyone with"}
)
ELSEWHERE = re.compile(
    r"\b(?:unlike|(?:most|many|some) (?:of|have)|others|tend to|(?:usually|often|commonly) have|"
    r"used to have|friend'?s|"
    r"(?:my|his|the|an?)?\s?(?:other|last|previous|first|next|another|similar) "
    r"(?:lathe|mill|machine|one|seller)s?|these (?:machine|lathe|mill)s)\b",
    re.IGNORECASE,
)
GOES_ON = _set(  # what may stand after "no motor", "does not run"
    "and or but with over around round of so included supplied fitted for at as due until under "
    "currently now when "
    "right anymore sadly unfortunately hence therefore , present available either yet on here "
    "i im i'm"
)
MACHINE = _set(
    "it machine lathe mill miller milling drill press grinder shaper the this is was do will would "
    "currently at present moment has have been be i we you just still sadly unfortunately sold as "
    "selling up a thing also only for did now ha had nice recently it's and very can in sell"
)
OTHERS = _names(  # things that are no part of the machine
    "chuck, jaw, 3 jaw, 4 jaw, face plate, faceplate, back plate, backplate, collet, "
    "adaptor, adapter, sleeve, arbor, arbour, rest, steady, dog, wrench, spanner, "
    "turret tool post, tool post, toolpost, die, tool holder, holder, milling attachment, "
    "taper attachment, attachment, tool, tap, reamer, boring bar, boring head, vise, vice, "
    "vise handle, stop, dro, readout, read out, scale, coolant pump, pump, suds pump, "
    "work light, lamp, stand, cabinet, bench, tray, drip tray, chip tray, splashback, "
    "micrometer, caliper, box, manual, book, rotary table, dividing head, indexing head, "
    "slotting head, angle plate, live centre, live center, centre, center, drill chuck, key, "
    "chuck key, mandrel, indicator, dial, bearing puller, shaft, vfd, inverter, converter, "
    "phase converter, compressor, saw, trailer, van, car, truck, door, roof, paint, "
    "leg vise, cutter, end mill, flycutter, drill, tacho, tachometer, rotary broach, "
    "parting tool, knurling tool, tool box, oil can, thread, thread dial, threading dial, "
    "chip guard, splash guard"
)
