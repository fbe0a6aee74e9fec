"""The price an advert asks for the machine."""

from __future__ import annotations

import re

_MONEY = r"(?:[$£€]\s?\d[\d,.]*k?|\d[\d,.]*\s?(?:dollars|quid|pounds|bucks|euros?|usd|gbp|eur)\b)"
_PRICE = re.compile(
    rf"(?P<asked>\b(?:price|asking|ask|want|wants|for sale|yours for)\b[^.\d$£€]{{0,24}})?"
    rf"(?P<amount>{_MONEY}|(?<=\s)\d[\d,.]*(?=\s?(?:obo|ono|o\.n\.o|firm)\b)"
    r"|(?<=price )\d[\d,.]*|(?<=asking )\d[\d,.]*)"
    r"(?P<ends>\s?(?:obo|ono|o\.n\.o|firm|the lot)\b)?",
    re.I,
)
_APART = re.compile(
    r"\b(?:separately|each|ea|apiece|extra|sold for|sold the|paid|cost me|gave)\b", re.I
)


def asking_in(text: str) -> str:
    """Return what is asked for the machine, as typed: "price", "asking" or "firm" beside it wins.

    A price of one thing, or of something sold apart, is not the machine's.
    """
    found = list(_PRICE.finditer(text))
    asked = [m for m in found if m["asked"] or m["ends"]]
    rest = [m for m in found if not _APART.search(text, *_around(text, m))]
    best = (asked or sorted(rest, key=lambda m: -_amount(m["amount"])))[:1]
    return best[0]["amount"].strip().rstrip(".,") if best else ""


def _around(text: str, match: re.Match[str]) -> tuple[int, int]:
    """Return the span of the sentence a price stands in."""
    start = max(text.rfind(mark, 0, match.start()) for mark in (". ", "\n", ";", "!")) + 1
    ends = [text.find(mark, match.end()) for mark in (". ", "\n", ";", "!")]
    return start, min((end for end in ends if end >= 0), default=len(text))


def _amount(text: str) -> float:
    digits = re.sub(r"[^\d.]", "", text.replace(",", "")).strip(".")
    thousands = 1000.0 if text.rstrip().lower().endswith("k") else 1.0
    return float(digits) * thousands if digits.count(".") <= 1 and digits else 0.0
