"""Whether a thing is said to be there: kept, sold, lost, wanted, never had - or here after all.

What is said is a phrase of the rules, before the thing ("sold the steady") or after it ("the
steady was sold"); a denial turns it about ("never sold"), and what stands between must belong to
neither another thing nor another clause.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from kitreckon.reading.phrases import Search, Span
from kitreckon.reading.presence_forms import Forms

# "no wear on the 3 jaw", "missing the 5/8), boring head": what follows is here
_BREAKS = re.compile(
    r"[,;()]|\b(?:apart from|other than|except|but|bar|on|in|under|with|from|about|worth|"
    r"to(?! (?:add|get|find|buy|make|source|fit|order|have)))\b"
)
# "sold with a 3 jaw", "kept as new": no longer what is kept
_LEAVING_BREAKS = re.compile(
    r"^\s*[a-z]+\s+off\b|^\s*[a-z]+ing\b|[,;()]|"
    r"\b(?:apart from|other than|except|but|with|as|together|including|comes|it|them|in|on|me|us|"
    r"after|to|for|from)\b"
)
_LIST_BREAKS = re.compile(
    r"^\s*[a-z]+\s+off\b|^\s*[a-z]+ing\b|[;()]|"
    r"\b(?:apart from|other than|except|but|with|as|in|it|me|for|from|on|to)\b"
)
_BUT_HERE = re.compile(
    r"\bbut\b.{0,24}\b(?:have it|have them|got it|included|is here|goes with|turned up|comes along|"
    r"comes with|found it|it is there|here they are|here it is|goes along|is back|came back)\b"
    r"|(?<!never )(?<!not )(?<!yet )\b(?:turned up|came back|found (?:it|them|again)|reappeared)\b"
    r"|\b(?:it's|it is|they're|they are|is|are) (?:now )?(?:yours|included|leaning|"
    r"(?:on|in|under) (?:the|a) (?:shelf|wall|box|cabinet|drawer|bench|crate|"
    r"carton|tin|cupboard|floor|corner|boot|van))\b"
)
_WITH_IT = re.compile(
    r"^[^.;]{0,30}?\b(?:with|on) (?:it|this|the (?:machine|lathe|mill|sale|deal))\b"
    r"(?! not| n't| but| when| until| once| originally)"
)
_ANY_DENIAL = re.compile(
    r"\b(?:not|never|no|neither|nor|none|without|missing|lacking|gone|went|sold|company|away|off)\b|n't\b|\b(?:do|does|did|is|was|wo|ca|are|were|would|could)nt\b"
)
_BARE_NO = re.compile(
    r"\s*[,:?=.-]*\s*(?:no|none|nope|nil|0|zero|nought|doesn't|does not|isn't|won't|didn't|isnt|"
    r"arent|wasnt|doesnt|neither)\s*(?:$|[,.;!()]|but\b)"
)
_SOLD = re.compile(r"(?:\bsold|[,:(-]\s*(?:taken|gone))\s*(?:$|[,.;!)])")
_TAKES_OBJECT = re.compile(
    r"\b(?:missing|lost|left|kept|lacking|needs|lacks|got|get|had|seen|found|there|here|took)$"
)
_OBJECT = re.compile(
    r"\s+(?:an?|the|its|one|two|three|four|some|any|all|both|his|her|my|their|no|outside|inside)\b"
)
_SOME = re.compile(
    r"(?<![\w-])(?<!photo )(?<!picture )(?<!pic )(?<!lot )"
    r"(?:one|two|three|four|some|few|\d+|couple|several)\s*"
    r"(?:pairs?|sets?|pieces?|sizes?)?\s*(?:is|are|was|were|of them)?\s*$"
    r"|(?<!for )\bthe [\d/.\"-]+\s?(?:mm|inch|in|tooth|t|one)?\s*(?:is|are|was|were)?\s*$"
    r"|\bone of the [\w/\"-]+\s*(?:is|are|was|were)?\s*$"
)
_LACKS = re.compile(r"(?:missing|lacking|minus|short)$")
_A_PART = re.compile(  # a noun right after, no adverb and no word of another clause
    r"\s+(?:the\s+)?\d|\s+(?!(?:from|in|on|at|since|when|but|and|or|for|too|also|as|now|still|it(?!')|them|though|sorry|so|"
    r"if|which|before|after|years|long|last|this|that|alas|afraid|again|already|atm|due|with|w|apart|except|bar)\b|"
    r"[a-z]+ly\b)[a-z]{3,}"
)
_OTHER_NOUN = re.compile(
    r"[,(]\s*(?:the\s|its\s|a\s)?(?!(?:it|its|was|is|are|were|now|long|all|sadly|but|since|already|and|has|have|"
    r"been|both|they|this|that|which|he|she|i|we|sorry|did|does|do|had|would|could|can|will|might|may|should|"
    r"must|never|not|afraid|alas|unfortunately|regrettably|apparently|you|there|then|however|though|"
    r"only|also|so|of|in|on|at|from|by|to|my|mine|ours|nobody|someone|somebody)\b)[a-z]+(?:\s[a-z]+)?\s*$"
)
_OVER = re.compile(r"\s*(?:away|out|off|back|over|on)(?![\w'])(?! of (?:the|its|a) box)")
_HEADING_LEAD = 8  # letters that may stand before it in "still need for this one:"
_HEADING_TAIL = 12  # letters that may follow the denial in "those staying with me:"
_STILL_HERE = re.compile(  # "lathe is sold, but I still have:"
    r"\b(?:still (?:have|got|here|there|available|for sale)|left over|left with|left on it|"
    r"what(?:'?s| is) left|remaining|everything else|all the rest|comes w/)|\bcomes with\b"
)
_SAVE = re.compile(r"except|bar\b|with the exception")
_NOTHING = re.compile(r"\b(?:no|nothing|none|not|never|without|nowt)\b|n't\b")
_FAR = 10  # words between a thing and what says that it is gone
_NEAR = 5  # words between what denies and the thing
_PLACED = re.compile(  # "I keep the steady on the shelf": that is where it is
    r"(?<!\bto )(?<!'ll )(?<!will )\b(?:i|we|he|she|they) keeps? (?:[\w'-]+ ){1,8}?"
    r"(?:by|beside|under|above|near|on|next to|behind|in) (?:the|a|an|its|my|one|their) "
)
_TELLER = re.compile(r"\b(?:i|we|he|she|they)\s+$")
_MISTAKEN = re.compile(  # "the book, which I thought he had sold"
    r"\b(?:i|we|he|she|they) (?:thought|feared|assumed|was sure|were sure|swore)\b[^,.;]*"
)
_ITS_PART = re.compile(  # "a clamp set with most of the nuts gone"
    r"\bwith (?:(?:most|some|all|half|one|two|both|several|a few|a couple) (?:of )?)?"
    r"(?:the |its |his )?[a-z]+(?: [a-z]+)?\s*$"
)
_WISHED = re.compile(
    r"\b(?:to (?:find|buy|get|do)|wish|(?:does|do|did|is|are|will) not|(?:do|does|is|are|wo)n't)\b"
)
_WANTED = re.compile(  # "what I want for it is a vise"
    r"\b(?:what(?:'s| is)?|(?:only|one|main|first|next|other) things?) [^,.;:]{0,30}?"
    r"\b(?:wants?|needs?|lacks?|missing|after|'d like|would like)\b"
    r"[^,.;:]{0,20}?\bis(?: the| an?| any)?(?: \w+)?\s*$"
)
_CLEFT = re.compile(  # "what you do not get is the steady"
    r"\bwhat [^,.;:]{0,30}?(?:\bnot\b|n't\b|\bnever\b)[^,.;:]{0,30}?\b(?:is|was|are|were)"
    r"(?: the| an?| any)?(?: \w+)?\s*$"
)
_SOUGHT = re.compile(
    r"\s*iso(?:\s*:|\s+(?:an?\s|the\s|any\s)?(?![\d-]))\s*(?:[\w/\"'-]+\s+){0,3}$"
)  # in search of
_NUMBERED = re.compile(r"\b\d+\s+nos?\b|\bno\.\s?\d+(?!\s?-?\s?jaw)")  # "key no. 34"


class Presence:
    """Judges what stands before and after a thing."""

    def __init__(self, rules: Mapping[str, Any]) -> None:
        forms = Forms.of(rules)
        self.forms = forms
        self._before = (  # what denies, and what then belongs to something else
            (forms.none_of, _BREAKS),
            (forms.wants, _BREAKS),
            (forms.denied, _LEAVING_BREAKS),
            (forms.taken, _LEAVING_BREAKS),
            (forms.parted_with, _LEAVING_BREAKS),
            (forms.lists, _LIST_BREAKS),
        )
        self._headings = (  # what the heading of a list that is denied begins or ends with
            forms.none_of, forms.wants, forms.parted_with, forms.denied, forms.taken, forms.gone,
            forms.never, _WISHED,
        )  # fmt: skip
        self._after = (forms.gone, forms.by_it, forms.never, forms.moved, forms.may_come)

    def lists(self, text: str) -> bool:
        """Whether a text says of a list that all of it is kept, sold, or not included."""
        return self.forms.lists.search(text) is not None

    def heard(self, text: str) -> str:
        """Return a text with dots, as many, for what is told of another machine or of a place."""
        for told in (self.forms.other_machine, _PLACED, _MISTAKEN):
            text = told.sub(_dots, text)
        return text

    def denies(self, heading: str) -> bool:
        """Whether a heading says that what stands under it is not there."""
        if next(self.forms.headings.starting(heading.strip(), 0), None) is not None:
            return True
        if _STILL_HERE.search(heading):
            return False
        heading = self.heard(self.forms.here.masked(heading))
        return any(
            match.start() <= _HEADING_LEAD
            or (len(heading) - match.end() <= _HEADING_TAIL and "," not in heading[match.end() :])
            for form in self._headings
            for match in form.finditer(heading)
        )

    def denied_before(self, before: str, *, stays: bool = False, earlier: str = "") -> bool:
        """Whether the words before a thing say that it is not there.

        ``stays`` where what follows says that it stays with the machine: then none has it.
        ``earlier`` is what stands before another thing: "none of the tooling except the steady".
        """
        masked = _NUMBERED.sub(_dots, self.forms.here.masked(before))
        if any(form.search(masked) for form in (_CLEFT, _WANTED)) or _SOUGHT.match(masked):
            return True
        forms = self.forms
        always = (forms.none_of, forms.denied)
        for form, breaks in self._before:
            said = list(form.finditer(masked))
            if not said or (stays and form not in always):
                continue
            between = masked[said[-1].end() :]
            if _SAVE.match(masked, said[-1].start()) and _NOTHING.search(
                earlier + before[: said[-1].start()]
            ):
                continue  # "nothing with it except a faceplate"
            if form is self.forms.lists and between.lstrip().startswith(","):
                continue  # "steady sold, faceplate 20": it was said of what stands before
            if len(between.split()) <= _NEAR and not breaks.search(between):
                return True
        return False

    def goes_on(self, before: str) -> bool:
        """Whether what is said before a list holds over "and a", as "sold the A and a B" does."""
        forms = (self.forms.lists, self.forms.wants, _WANTED)
        return any(form.search(before) for form in forms)

    def runs_on(self, before: str, ends_in: str) -> bool:
        """Whether what is said before a list holds over its commas.

        "Sold the A, B" always does; "no A, B or C" and "need A, B and C" where the list ends so.
        """
        if self.forms.lists.search(before):
            return True
        if ends_in in {"or", "nor"} and self.forms.none_of.search(before):
            return True
        wanted = self.forms.wants.search(before) or _WANTED.search(before)
        return bool(ends_in) and ends_in != "," and wanted is not None

    def stays(self, after: str) -> bool:
        """Whether the words after a thing leave it with the machine: "kept the vise with it"."""
        with_it = _WITH_IT.match(after)
        if with_it is None or _ANY_DENIAL.search(after[: with_it.end()]):
            return False
        return self.denied_after(after[with_it.end() :]) is None  # "is on it now but goes back"

    def denied_after(self, after: str) -> str | None:
        """Return what stands between a thing and the words after it that deny it; None: nothing."""
        masked = self.forms.here.masked(after)
        if _BARE_NO.match(masked):
            return ""
        told_of = self.forms.told_of.match(masked)
        if told_of is not None and not _BUT_HERE.search(masked, told_of.end()):
            return ""
        for form in self._after:
            match = form.search(masked)
            if match is not None and self._is_of_it(form, masked, match):
                return masked[: match.start()]
        return None

    def _is_of_it(self, form: Search, after: str, match: Span) -> bool:
        """Whether what is found after a thing is said of it, not of a part or of another."""
        between, found = after[: match.start()], after[match.start() : match.end()]
        far = _FAR if form is not self.forms.by_it else 2 * _FAR  # "keep it" takes it up again
        if len(between.split()) > far:
            return False
        if _OTHER_NOUN.search(between) or _BUT_HERE.search(after, match.end()):
            return False  # "live centre, bearing gone"
        if form is self.forms.gone and _ITS_PART.search(between):
            return False
        if form is self.forms.may_come and _TELLER.search(between):
            return False  # "all the tooling I could find"
        if _LACKS.search(found) and _A_PART.match(after, match.end()):
            return False  # "vise missing handle"
        taken = _TAKES_OBJECT.search(found) and _OBJECT.match(after, match.end())
        return not taken and _SOME.search(between) is None  # "18 of them, one missing"

    def may_come(self, before: str, after: str) -> bool:
        """Whether a thing may yet be found: "if the steady ever turns up"."""
        if not self.forms.conditional.search(before):
            return False
        found = self.forms.surfacing.search(after)
        return found is not None and len(after[: found.start()].split()) <= _NEAR

    def handed_over(self, before: str, after: str) -> bool:
        """Whether a thing stands inside "gave the ... away"."""
        return _OVER.match(after) is not None and self.forms.handing.search(before) is not None

    def sold_at_end(self, text: str) -> bool:
        """Whether an entry of a price list ends in "sold"."""
        return _SOLD.search(text) is not None


def _dots(match: re.Match[str]) -> str:
    return "." * len(match[0])
