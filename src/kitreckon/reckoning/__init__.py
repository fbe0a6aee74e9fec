"""Prices, condition, cover, value and offer: what the counted tooling is worth to this buyer."""

from kitreckon.reckoning.among import reckon_among
from kitreckon.reckoning.bargaining import concessions, counter
from kitreckon.reckoning.chain import again, reckon
from kitreckon.reckoning.comparison import compare
from kitreckon.reckoning.questions import next_questions
from kitreckon.reckoning.sale import sale
from kitreckon.reckoning.shelf import spares
from kitreckon.reckoning.shopping import shopping
from kitreckon.reckoning.slots import applies
from kitreckon.reckoning.what_if import without

__all__ = [
    "again",
    "applies",
    "compare",
    "concessions",
    "counter",
    "next_questions",
    "reckon",
    "reckon_among",
    "sale",
    "shopping",
    "spares",
    "without",
]
