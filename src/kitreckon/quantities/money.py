"""Money: whole minor units of one currency; never a float, never two currencies in a sum."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from kitreckon.quantities.errors import QuantityError

MOST_MAJOR = 10_000_000
_DIGITS = {"JPY": 0, "KRW": 0, "ISK": 0, "CLP": 0, "VND": 0, "KWD": 3, "BHD": 3, "TND": 3}
# What stands with an amount, and which currencies it may mean. A sign is shown for each of its own.
_SIGNS: Mapping[str, tuple[str, ...]] = {
    "$": ("USD", "CAD", "AUD", "NZD", "HKD", "SGD", "MXN", "ARS", "CLP", "COP"),
    "£": ("GBP",),
    "€": ("EUR",),
    "¥": ("JPY", "CNY"),
}
_SIGN_OF = {currency: sign for sign, meant in _SIGNS.items() for currency in meant}
_MARKS: Mapping[str, tuple[str, ...]] = {
    **_SIGNS,
    **{code.lower(): (code,) for code in (*_SIGN_OF, "CHF", "SEK", "NOK", "DKK")},
    "us$": ("USD",),
    "ca$": ("CAD",),
    "c$": ("CAD",),
    "au$": ("AUD",),
    "a$": ("AUD",),
    "nz$": ("NZD",),
    "hk$": ("HKD",),
    "s$": ("SGD",),
    **dict.fromkeys(("dollars", "dollar", "bucks"), _SIGNS["$"]),
    **dict.fromkeys(("pounds", "quid"), _SIGNS["£"]),
    **dict.fromkeys(("euros", "euro"), _SIGNS["€"]),
}
_MARK = "|".join(re.escape(mark) for mark in sorted(_MARKS, key=len, reverse=True))
_MARK_BEFORE = re.compile(rf"({_MARK})\s*", re.IGNORECASE)
_MARK_BEHIND = re.compile(rf"\s*({_MARK})$", re.IGNORECASE)
_WHOSE_DOLLARS = re.compile(rf"\b(?:{_MARK})(?<=[a-z]\$)", re.IGNORECASE)
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
_EXAMPLE = "a price such as 1,200 or 12.50"


def currency_digits(currency: str) -> int:
    """Return how many digits the minor unit of a currency has (ISO 4217).

    >>> currency_digits("USD"), currency_digits("JPY")
    (2, 0)
    """
    return _DIGITS.get(currency, 2)


def round_half_up(amount: float) -> int:
    """Return the nearest whole number; a half goes away from zero, as ROUND_HALF_UP has it.

    >>> [round_half_up(amount) for amount in (0.5, 1.5, 2.5, -0.5, 2.49)]
    [1, 2, 3, -1, 2]
    """
    whole = int(amount)
    rest = amount - whole
    return whole + (rest >= 0.5) - (rest <= -0.5)


def check_currency(code: str) -> str:
    """Return a currency code in capitals; raises QuantityError unless it is three letters."""
    if _CURRENCY.fullmatch(code.strip().upper()) is None:
        raise QuantityError(f"{code[:10]!r} is not a currency", want="a code such as USD or GBP")
    return code.strip().upper()


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in minor units (cents) of ``currency`` (ISO 4217 code). May be negative.

    >>> Money.of("19.99", "USD") * 0.5
    Money(minor=1000, currency='USD')
    """

    minor: int
    currency: str

    @classmethod
    def of(cls, major: Decimal | str | float | int, currency: str) -> Money:
        """Return an amount given in major units, rounded half up to the minor unit."""
        if isinstance(major, float):
            major = repr(major)
        scaled = Decimal(major).scaleb(currency_digits(currency))
        return cls(int(scaled.quantize(Decimal(1), ROUND_HALF_UP)), currency)

    @classmethod
    def rounded(cls, minor: float, currency: str) -> Money:
        """Return an amount reckoned in minor units, rounded half up, as all money is.

        >>> Money.rounded(2.5, "USD").minor, Money.rounded(-2.5, "USD").minor
        (3, -3)
        """
        return cls(round_half_up(minor), currency)

    @classmethod
    def zero(cls, currency: str) -> Money:
        """Return nothing, in that currency."""
        return cls(0, currency)

    @property
    def major(self) -> Decimal:
        """The amount in major units, exact."""
        return Decimal(self.minor).scaleb(-currency_digits(self.currency))

    def down_to_whole(self) -> Money:
        """Return the amount in whole units, never above it: a limit is not passed by rounding.

        >>> Money(184183, "USD").down_to_whole()
        Money(minor=184100, currency='USD')
        """
        unit = 10 ** currency_digits(self.currency)
        return Money(self.minor // unit * unit, self.currency)

    def _same(self, other: Money) -> int:
        if self.currency != other.currency:
            raise QuantityError(
                f"{self.currency} and {other.currency} cannot be put together",
                want="one currency; set a rate to convert",
            )
        return other.minor

    def __add__(self, other: Money) -> Money:
        return Money(self.minor + self._same(other), self.currency)

    def __sub__(self, other: Money) -> Money:
        return Money(self.minor - self._same(other), self.currency)

    def __neg__(self) -> Money:
        return Money(-self.minor, self.currency)

    def __mul__(self, factor: float) -> Money:
        product = Decimal(self.minor) * Decimal(repr(float(factor)))
        return Money(int(product.quantize(Decimal(1), ROUND_HALF_UP)), self.currency)

    __rmul__ = __mul__

    def __lt__(self, other: Money) -> bool:
        return self.minor < self._same(other)

    def __le__(self, other: Money) -> bool:
        return self.minor <= self._same(other)

    def __gt__(self, other: Money) -> bool:
        return self.minor > self._same(other)

    def __ge__(self, other: Money) -> bool:
        return self.minor >= self._same(other)

    def __bool__(self) -> bool:
        return self.minor != 0

    def __str__(self) -> str:
        return show_money(self)


_SHAPE = re.compile(r"\d[\d.,' \u00a0\u202f’]*k?", re.ASCII | re.IGNORECASE)
_PLAIN = re.compile(r"(\d+)(?:[.,](\d{1,2}))?|[.,](\d{1,2})", re.ASCII)
_GROUPED = re.compile(
    r"\d{1,3}(?:(?P<group>[,.' ’])\d{3})(?:(?P=group)\d{3})*(?:(?P<point>[.,])(?P<cents>\d{1,2}))?",
    re.ASCII,
)
_FIGURE = r"\d+(?:[.,']\d+)*k?"
_SEVERAL = re.compile(  # a range, or low, typical and high, where one price is asked
    rf"{_FIGURE}(?:(?:\s*(?:-|–|—|/|\.\.+|to)\s*|\s+)(?:{_MARK})?\s*{_FIGURE})+",
    re.ASCII | re.IGNORECASE,
)
_ONE_PRICE = "one figure; where low, typical and high are asked, three: 900 1200 1500"


def read_money(text: str, currency: str) -> Money:
    """Return the price typed, in ``currency``.

    A sign, code or word for this currency may stand with it; thousands may be grouped by comma,
    point, space or apostrophe; "1.2k" is 1,200. Raises QuantityError for what is not a price, for
    several prices, for another currency's sign, for an amount below the minor unit or over
    10,000,000, and where a point could be either thousands or decimals.

    >>> read_money("$1.2k", "USD") == read_money("1 200", "USD") == read_money("1,200.00", "USD")
    True
    >>> read_money("12,5", "EUR").major
    Decimal('12.50')
    """
    currency = check_currency(currency)
    bare = _without_sign(text, currency) if len(text) <= 40 else ""
    if _SEVERAL.fullmatch(bare) and _GROUPED.fullmatch(bare) is None:
        raise QuantityError(f"{text!r} is more than one price", want=_ONE_PRICE)
    if not bare or (_SHAPE.fullmatch(bare) is None and _PLAIN.fullmatch(bare) is None):
        raise QuantityError(f"{text[:40]!r} is not a price", want=_EXAMPLE)
    thousand = bare[-1] in "kK"
    amount = _thousands(bare[:-1].strip()) if thousand else _amount(bare, currency)
    if amount > MOST_MAJOR:
        raise QuantityError(f"{text!r} is over 10,000,000", want=_EXAMPLE)
    return Money.of(amount, currency)


def in_other_money(price: str, currency: str, around: str = "") -> bool:
    """Return whether a price stands in another currency than ``currency``.

    around: a text the price was taken from, which may tell whose dollars they are.

    >>> in_other_money("£900", "USD"), in_other_money("$900", "USD")
    (True, False)
    >>> in_other_money("$900", "USD", around="A$900 or offers")
    True
    """
    marks, _ = _marks_apart(price)
    if "$" in marks:
        marks |= {mark.lower() for mark in _WHOSE_DOLLARS.findall(around)}
    return any(currency not in _MARKS[mark] for mark in marks)


def _without_sign(text: str, currency: str) -> str:
    bare = text.strip().replace("\u00a0", " ").replace("\u202f", " ")
    for code in (currency, currency.lower()):  # any code is right with its own currency
        bare = bare.removeprefix(code).removesuffix(code).strip()
    marks, bare = _marks_apart(bare)
    if any(currency not in _MARKS[mark] for mark in marks):
        raise QuantityError(
            f"{text.strip()!r} is not in {currency}", want=f"the amount in {currency}"
        )
    return bare


def _marks_apart(text: str) -> tuple[set[str], str]:
    """Return the marks of money before and behind an amount, and the amount."""
    marks: set[str] = set()
    bare = text.strip()
    while found := _MARK_BEFORE.match(bare):
        marks.add(found[1].lower())
        bare = bare[found.end() :]
    while found := _MARK_BEHIND.search(bare):
        marks.add(found[1].lower())
        bare = bare[: found.start()]
    return marks, bare


def _thousands(bare: str) -> Decimal:
    match = re.fullmatch(r"\d{1,5}(?:[.,]\d{1,3})?", bare, re.ASCII)
    if match is None:
        raise QuantityError(f"{bare!r}k is not a price", want="a price such as 1.2k")
    return Decimal(bare.replace(",", ".")) * 1000


def _amount(bare: str, currency: str) -> Decimal:
    if re.fullmatch(r"\d{1,3}\.\d{3}", bare, re.ASCII) and currency_digits(currency) != 3:
        if bare.startswith("0."):
            raise QuantityError(f"{bare!r} is below the smallest coin", want=_EXAMPLE)
        whole, rest = bare.split(".")
        raise QuantityError(
            f"{bare!r} can be read two ways",
            want=f"{whole},{rest} for thousands, or {whole}.{rest[:2]} for decimals",
        )
    grouped = _GROUPED.fullmatch(bare)
    if grouped is not None and grouped["point"] != grouped["group"]:
        cents = grouped["cents"] or ""
        whole = re.sub(r"\D", "", bare[: len(bare) - len(cents)] if cents else bare)
        return Decimal(f"{whole}.{cents or 0}")
    plain = _PLAIN.fullmatch(bare)
    if plain is None:
        raise QuantityError(f"{bare!r} is not a price", want=_EXAMPLE)
    return Decimal(f"{plain[1] or 0}.{plain[2] or plain[3] or 0}")


def show_money(money: Money, *, sign: bool = False) -> str:
    """Return the amount with thousands grouped; whole amounts without decimals.

    >>> show_money(Money(190000, "USD")), show_money(Money(-1250, "GBP"), sign=True)
    ('1,900', '-£12.50')
    """
    digits = currency_digits(money.currency)
    whole = money.minor % 10**digits == 0
    number = f"{abs(money.major):,.{0 if whole else digits}f}"
    mark = _SIGN_OF.get(money.currency, f"{money.currency} ") if sign else ""
    return f"{'-' if money.minor < 0 else ''}{mark}{number}"
