"""What state a thing is said to be in: condition, danger, missing parts, not there at all."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from kitreckon.catalogue.model import Kind

# "no tooling apart from a 3 jaw", "missing the 5/8), boring head": what follows is here
_BREAKS = re.compile(r"[,;()]|\b(?:apart from|other than|except|but)\b")
# "sold with a 3 jaw", "kept as new": no longer what is kept
_KEPT_BREAKS = re.compile(
    r"^\s*[a-z]+ing\b|[,;()]|"
    r"\b(?:apart from|other than|except|but|with|as|together|including|comes|it|in|me|us)\b"
)
_LIST_BREAKS = re.compile(
    r"^\s*[a-z]+ing\b|[;()]|\b(?:apart from|other than|except|but|with|as|in|it|me)\b"
)
_BUT_HERE = re.compile(
    r"\bbut\b.{0,24}\b(?:have it|have them|got it|included|is here|goes with|turned up|comes along|"
    r"comes with|found it|it is there|here they are|here it is|goes along|is back|came back)\b"
)
_WITH_IT = re.compile(
    r"^[^.;]{0,30}?\b(?:with|on) (?:it|this|the (?:machine|lathe|mill|sale|deal))\b(?! not| n't)"
)
_ANY_DENIAL = re.compile(r"\b(?:not|never|no|without|gone|went|sold)\b|n't\b")
_BARE_NO = re.compile(
    r"\s*[:?-]?\s*(?:no|none|nope|nil|doesn't|does not|isn't|won't|didn't)\s*(?:$|[,.;!()]|but\b)"
)
_SOLD = re.compile(r"\b(?:sold|taken|gone)\s*(?:$|[,.;!)])")
_WISHED = re.compile(
    r"\b(?:to (?:find|buy|get|do)|wish|(?:does|do|did|is|are|will) not|(?:do|does|is|are|wo)n't)\b"
)
_TAKES_OBJECT = re.compile(
    r"\b(?:missing|lost|left|kept|lacking|needs|lacks|got|get|seen|found|there|here|took)$"
)
_OBJECT = re.compile(
    r"\s+(?:an?|the|its|one|two|three|four|some|any|all|both|his|her|my|their|it|no|outside|inside)\b"
)
_SOME = re.compile(
    r"(?<![\w-])(?<!photo )(?<!picture )(?<!pic )(?<!lot )"
    r"(?:one|two|three|four|some|few|\d+|couple|several)\s*"
    r"(?:pairs?|sets?|pieces?|sizes?)?\s*(?:is|are|of them)?\s*$"
)
_OTHER_NOUN = re.compile(
    r",\s*(?:the\s|its\s|a\s)?(?!(?:it|was|is|are|were|now|long|all|sadly|but|since|already|and|has|have|"
    r"been|both|they|this|that|which|he|she|i|we|sorry|did|does|do|had|would|could|can|will|might|may|should|"
    r"must|never|not|afraid|alas|unfortunately|regrettably|apparently|you|there|then|however|though|"
    r"only|also|so|of|in|on|at|from|by|to|my|someone|somebody)\b)[a-z]+(?:\s[a-z]+)?\s*$"
)
_TOWARDS = r"(?:to|with|at|on|onto|for|in|into|over to)\s+(?:the\s+|an?\s+)?"
_HEADING_TAIL = 12  # letters that may follow the denial in "those staying with me:"
_FAR = 8  # words between a thing and what says that it is gone
_PLACED = re.compile(  # "I keep the steady on the shelf": that is where it is
    r"(?<!\bto )(?<!'ll )(?<!will )\b(?:i|we|he|she|they) keeps? (?:[\w'-]+ ){1,8}?"
    r"(?:by|beside|under|above|near|on|next to|behind|in) (?:the|a|an|its|my|one|their) "
)
_NUMBERED = re.compile(r"\b\d+\s+nos?\b")
_UNSAID = re.compile(r"(?:\bnot|\bnever|n't|\bnor|\bhardly|\bbarely)\s+(?:too\s|very\s|at all\s)?$")
_SPACE = re.compile(r"[\s-]+")


_HEADINGS = (
    r"missing|lacking|lacks|needs|wanted|absent|not included|excluded|excludes|not in the sale|"
    r"not for sale|sold|gone|keeping|what you don't get|you don't get|wish list|still to find"
)


def phrase_form(phrases: Iterable[str], *, colon: bool = False) -> re.Pattern[str]:
    """Return a pattern that finds any of the phrases as whole words, the longest first."""
    ordered = sorted({str(phrase).lower() for phrase in phrases}, key=lambda p: (-len(p), p))
    if not ordered:
        return re.compile(r"(?!)")
    body = "|".join(r"[\s-]+".join(map(re.escape, _SPACE.split(phrase))) for phrase in ordered)
    headed = rf"|(?:{_HEADINGS})\s*:" if colon else ""
    return re.compile(rf"(?<![\w'])(?:{body}{headed})(?![\w'])")


@dataclass(frozen=True, slots=True)
class States:
    """The patterns of the rules that tell a state."""

    conditions: re.Pattern[str]
    condition_of: Mapping[str, str]
    unsafe: re.Pattern[str]
    wheels: re.Pattern[str]  # what a grinding wheel is called
    unsafe_wheel: re.Pattern[str]  # what makes one a danger
    before: re.Pattern[str]
    kept: re.Pattern[str]  # "keeping the steady"
    gone: re.Pattern[str]  # "the steady was sold"
    never_there: re.Pattern[str]  # "the steady was never included"
    not_found: re.Pattern[str]  # "never could find the steady"
    taken: re.Pattern[str]  # "my brother has the steady"
    moved: re.Pattern[str]  # "the steady went to my brother"
    lists: re.Pattern[str]  # what is denied goes on over the commas
    after: re.Pattern[str]
    never: re.Pattern[str]
    missing: re.Pattern[str]
    part_gone: re.Pattern[str]
    headings: re.Pattern[str]  # what begins the heading of a list that is denied
    other_machine: re.Pattern[str]  # "for the lathe I sold", "then sold the lathe,"
    backs: Mapping[str, re.Pattern[str]]

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> States:
        """Make the patterns from the rules."""
        table = {
            _plain(word): condition
            for condition, words in (rules.get("conditions") or {}).items()
            for word in words
        }
        return cls(
            phrase_form(table),
            table,
            phrase_form(rules.get("unsafe", ())),
            phrase_form(rules.get("wheels", ())),
            phrase_form(rules.get("unsafe_wheel", ())),
            phrase_form(
                (*rules.get("absent_before", ()), *rules.get("absent_lists", ())), colon=True
            ),
            phrase_form(rules.get("kept", ())),
            phrase_form(rules.get("gone", ())),
            _composed(rules, "denials", "comings", 3),
            _composed(rules, "denials", "findings", 3),
            _composed(rules, "takers", "takings", 2),
            _composed(rules, "moves", "others", 3, _TOWARDS),
            phrase_form((*rules.get("absent_lists", ()), *rules.get("kept", ())), colon=True),
            phrase_form(rules.get("absent_after", ())),
            phrase_form(rules.get("not_absent", ())),
            phrase_form(rules.get("missing_parts", ())),
            phrase_form(rules.get("parts_gone", ())),
            phrase_form(rules.get("absent_headings", ())),
            _of_a_machine(rules.get("machine_words", ())),
            {str(name): phrase_form(words) for name, words in (rules.get("backs") or {}).items()},
        )

    def condition(self, text: str) -> str | None:
        """Return the condition a text tells, the worst where it tells several."""
        order = ("new", "excellent", "very-good", "good", "fair", "poor", "scrap")
        said = [
            self.condition_of[_plain(m[0])]
            for m in self.conditions.finditer(text)
            if not _UNSAID.search(text, 0, m.start())
        ]
        return max(said, key=order.index) if said else None

    def back(self, text: str) -> Literal["plain", "backplate", "direct"] | None:
        """Return how a chuck is said to be held, None where nothing is said."""
        if "mount" not in text and "back" not in text:
            return None
        names: tuple[Literal["plain", "backplate", "direct"], ...] = (
            "plain",
            "backplate",
            "direct",
        )
        for name in names:
            if name in self.backs and self.backs[name].search(text):
                return name
        return None

    def danger(self, text: str) -> str:
        """Return the word of danger in a text ("cracked"), or ""."""
        if "crack" in text and self.never.search(text):
            return ""
        match = self.unsafe.search(text)
        if match is None and self.wheels.search(text):
            match = self.unsafe_wheel.search(text)
        return match[0] if match else ""

    def heard(self, text: str) -> str:
        """Return a text with dots, as many, for what is told of another machine or of a place."""
        return _PLACED.sub(_dots, self.other_machine.sub(_dots, text))

    def denies(self, heading: str) -> bool:
        """Whether a heading says that what stands under it is not there."""
        if self.headings.match(heading.strip()):
            return True
        heading = self.never.sub(_dots, heading)
        forms = (
            self.before, self.kept, self.after, self.gone, self.never_there, self.not_found,
            self.taken, _WISHED,
        )  # fmt: skip
        ends = (match.end() for form in forms for match in form.finditer(heading))
        return any(len(heading) - end <= _HEADING_TAIL and "," not in heading[end:] for end in ends)

    def denied_before(self, before: str, *, stays: bool = False) -> bool:
        """Whether the words before a thing say that it is not there.

        ``stays`` where what follows says that it stays with the machine: then none has it.
        """
        masked = _NUMBERED.sub(_dots, self.never.sub(_dots, before))
        for form, breaks in (
            (self.before, _BREAKS),
            (self.not_found, _KEPT_BREAKS),
            (self.taken, _KEPT_BREAKS),
            (self.kept, _KEPT_BREAKS),
            (self.lists, _LIST_BREAKS),
        ):
            said = list(form.finditer(masked))
            if said and not (stays and (form is not self.before or self.lists.search(said[-1][0]))):
                between = masked[said[-1].end() :]
                if form is self.lists and between.lstrip().startswith(","):
                    continue  # "steady sold, faceplate 20": it was said of what stands before
                if len(between.split()) <= 5 and not breaks.search(between):
                    return True
        return False

    def stays(self, after: str) -> bool:
        """Whether the words after a thing leave it with the machine: "kept the vise with it"."""
        with_it = _WITH_IT.match(after)
        return with_it is not None and not _ANY_DENIAL.search(after[: with_it.end()])

    def denied_after(self, after: str) -> str | None:
        """Return what stands between a thing and the words after it that deny it; None: nothing."""
        masked = self.never.sub(_dots, after)
        if _BARE_NO.match(masked):
            return ""
        for form in (self.after, self.gone, self.never_there, self.moved):
            match = form.search(masked)
            if match is None or len(masked[: match.start()].split()) > _FAR:
                continue
            between = masked[: match.start()]
            if _OTHER_NOUN.search(between) or _BUT_HERE.search(masked, match.end()):
                continue  # "live centre, bearing gone"
            some = _SOME.search(between) is not None  # "18 of them, one missing"
            if not some and not (
                _TAKES_OBJECT.search(match[0]) and _OBJECT.match(masked, match.end())
            ):
                return between
        return None

    def part_missing(self, kind: Kind, text: str) -> str | None:
        """Return the id of the kind's part that a text says is missing, None where none is."""
        return missing_part(kind, text, self.missing, self.part_gone)

    def sold_at_end(self, text: str) -> bool:
        """Whether an entry of a price list ends in "sold"."""
        return _SOLD.search(text) is not None


def _of_a_machine(words: Iterable[str]) -> re.Pattern[str]:
    """Return the pattern of a clause that tells what became of another machine."""
    machine = rf"(?:the|a|an|my|his|another|that)\s+(?:[\w-]+\s+)?{phrase_form(words).pattern}"
    teller = r"(?:(?:that|which)\s+)?(?:i|we|he|she|they)\b"
    ends = r"(?=\s*(?:$|[,.;:)(]|so\b|last\b|on\b|years\b))"
    return re.compile(
        rf"\b(?:for|from|off|of|to fit|fits|fit)\s+{machine}\s+{teller}[^,.;:()]*"
        rf"|\b(?:sold|scrapped|lost|moved|traded)\s+{machine}{ends}"
    )


def _dots(match: re.Match[str]) -> str:
    return "." * len(match[0])


def _composed(
    rules: Mapping[str, Any], first: str, then: str, gap: int, joint: str = ""
) -> re.Pattern[str]:
    """Return the pattern of a phrase of one list, a few words, a joint, one of another list.

    "never included" and "was not ever found" are a denial and a coming.
    """
    one, other = phrase_form(rules.get(first, ())), phrase_form(rules.get(then, ()))
    between = rf"(?:(?!but\b)[a-z']+\s+){{0,{gap}}}?"
    return re.compile(rf"{one.pattern}\s+{between}{joint}{other.pattern}")


def _plain(text: str) -> str:
    return _SPACE.sub(" ", text.strip().lower())


def missing_part(
    kind: Kind, text: str, missing: re.Pattern[str], gone: re.Pattern[str]
) -> str | None:
    """Return the id of the kind's part that a text says is missing: the longest name wins.

    ``missing`` are the words before a part, ``gone`` those after it: "outside jaws missing".
    """
    said = missing.search(text)
    if said is None or re.match(r"\s*(?:an?\s+)?\d", text[said.end() :]):
        said = None  # "no 4-jaw" is another thing, no part
    after = gone.search(text)
    if said is not None:
        part = _part_in(kind, " ".join(re.findall(r"[a-z]+", text[said.end() :])[:4]))
        if part is not None:
            return part
    if after is None:
        return None
    before = re.split(r"[,;.(]", text[: after.start()].rstrip(" ,"))[-1]
    words = re.findall(r"[a-z-]+", before)
    return _part_in(kind, " ".join(words[-3:]), last=True)


def _part_in(kind: Kind, words: str, *, last: bool = False) -> str | None:
    ends = r"(?: is| are| was| were)?$" if last else r"\b"
    named = [
        (len(name), part.id)
        for part in kind.parts
        for name in part.names
        if re.search(rf"\b{re.escape(name.lower())}s?{ends}", words)
    ]
    return max(named)[1] if named else None
