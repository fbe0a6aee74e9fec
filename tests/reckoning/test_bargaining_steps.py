"""What to answer, and in which steps to give way."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Preferences, Saying
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning import concessions, counter, reckon, without
from kitreckon.reckoning.bargaining import speaks_against, still_to_say
from kitreckon.reckoning.model import Offer, Reckoning
from kitreckon.reports.voice import rounded_down

CATALOGUE = the_catalogue()
RAISES = CATALOGUE.judgement.raises


def an_offer(opening: int, limit: int, currency: str = "USD") -> Offer:
    low, high = Money(opening, currency), Money(limit, currency)
    return Offer(low, high, high, high)


def reckoned(*sayings: Saying, **facts: object) -> Reckoning:
    visit = a_visit(
        a_piece("chuck-4-jaw", size="8in", mount="D1-4"),
        a_piece("steady-rest", tried=True),
        sayings=sayings,
    )
    return reckon(a_lathe(**facts), visit, CATALOGUE, Preferences())


def said(who: str, price: Money | None) -> Saying:
    return Saying(f"{who}-{price}", who, price)  # type: ignore[arg-type]


@given(
    opening=st.integers(0, 800_000),
    room=st.integers(0, 800_000),
    steps=st.integers(1, 8),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
)
def test_steps_shrink_by_half_or_more_and_never_pass_the_limit(
    opening: int, room: int, steps: int, currency: str
) -> None:
    figures = concessions(an_offer(opening, opening + room, currency), steps)
    assert 1 <= len(figures) <= steps + 1
    assert figures[0].minor <= opening
    assert all(0 <= figure.minor <= opening + room for figure in figures)
    rises = [after.minor - before.minor for before, after in pairwise(figures)]
    assert all(rise > 0 for rise in rises)
    assert all(2 * after <= before for before, after in pairwise(rises))


def test_figures_are_round() -> None:
    figures = concessions(an_offer(103_347, 187_912), 4)
    assert [figure.minor // 100 for figure in figures] == [1000, 1450, 1650, 1750, 1800]


def test_little_room_gives_fewer_steps_and_none_gives_the_opening_alone() -> None:
    assert len(concessions(an_offer(100_000, 100_600), 4)) == 3
    assert concessions(an_offer(100_000, 100_000), 4) == (dollars(1000),)


def test_no_offer_has_no_figures_and_no_steps_are_refused() -> None:
    assert concessions(Offer(None, None, None, dollars(0)), 3) == ()
    with pytest.raises(KitreckonError, match="0 steps"):
        concessions(an_offer(1, 2), 0)


def test_a_price_at_or_under_the_target_is_taken() -> None:
    reckoning = reckoned()
    target = reckoning.offer.target
    assert target is not None
    answer = counter(reckoning, target, (), CATALOGUE)
    assert (answer.answer, answer.say) == ("accept", target)


def test_above_the_target_the_first_figure_is_named_first() -> None:
    answer = counter(reckoned(), dollars(1700), (), CATALOGUE)
    assert answer.answer == "counter"
    assert answer.say == concessions(reckoned().offer, RAISES)[0]


def test_each_answer_is_the_next_figure_until_they_run_out_then_walk() -> None:
    sayings: list[Saying] = []
    figures = []
    for _ in range(12):
        answer = counter(reckoned(*sayings), dollars(5000), (), CATALOGUE)
        if answer.answer == "walk":
            break
        assert answer.say is not None
        figures.append(answer.say)
        sayings.append(said("me", answer.say))
    reckoning = reckoned()
    assert answer.answer == "walk"
    assert answer.say is None
    assert figures[:-1] == list(concessions(reckoning.offer, RAISES))
    assert figures[-1] == reckoning.offer.limit
    assert figures == sorted(figures)


def test_within_the_limit_it_is_taken_when_no_figure_is_left_under_it() -> None:
    reckoning = reckoned()
    limit = reckoning.offer.limit
    assert limit is not None
    last = concessions(reckoning.offer, RAISES)[-1]
    asked = Money((last.minor + limit.minor) // 2, "USD")
    answer = counter(reckoned(said("me", last)), asked, (), CATALOGUE)
    assert (answer.answer, answer.say) == ("accept", asked)


def test_what_he_keeps_comes_off_the_limit() -> None:
    reckoning = reckoned()
    answer = counter(reckoning, dollars(1250), ("p-steady-rest",), CATALOGUE)
    left = without(reckoning, ("p-steady-rest",), CATALOGUE).offer
    assert answer.offer == left
    assert reckoning.offer.limit is not None
    assert left.limit is not None
    assert answer.costs == reckoning.offer.limit - left.limit > dollars(100)


def test_the_same_price_may_be_taken_with_a_piece_and_not_without_it() -> None:
    reckoning = reckoned()
    price = reckoning.offer.target
    assert price is not None
    assert counter(reckoning, price, (), CATALOGUE).answer == "accept"
    kept = counter(reckoning, price, ("p-steady-rest", "p-chuck-4-jaw"), CATALOGUE)
    assert kept.answer == "counter"


def test_where_there_is_no_offer_there_is_no_counter_offer() -> None:
    visit = a_visit(findings=(a_finding("headstock-gear-tooth"),))
    reckoning = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    answer = counter(reckoning, dollars(1), (), CATALOGUE)
    assert answer.answer == "walk"
    told = [CATALOGUE.words.say(reason, Style()) for reason in answer.reasons]
    assert [reason.id for reason in answer.reasons] == ["offer-counter-finding"]
    assert not [text for text in told if "walk away" in text]  # the answer itself says it


def test_the_last_answer_does_not_say_twice_to_walk_away() -> None:
    limit = reckoned().offer.limit
    answer = counter(reckoned(said("me", limit)), dollars(90_000), (), CATALOGUE)
    assert answer.answer == "walk"
    assert "walk away" not in CATALOGUE.words.say(answer.reasons[-1], Style())


def test_a_price_below_nothing_and_an_unknown_piece_are_refused() -> None:
    with pytest.raises(KitreckonError, match="below nothing"):
        counter(reckoned(), dollars(-5), (), CATALOGUE)
    with pytest.raises(KitreckonError, match="no piece 'gone'"):
        counter(reckoned(), dollars(5), ("gone",), CATALOGUE)
    with pytest.raises(KitreckonError, match="EUR"):
        counter(reckoned(), Money.of(5, "EUR"), (), CATALOGUE)


def test_every_answer_has_its_sentence() -> None:
    reckoning = reckoned()
    for price in (100, 1600, 1700, 5000):
        for reason in counter(reckoning, dollars(price), (), CATALOGUE).reasons:
            text = CATALOGUE.words.say(reason, Style())
            assert "{" not in text
            assert not text.startswith(reason.id)


@pytest.mark.parametrize("power", [0.11, 0.23, 0.37, 0.5])
def test_answers_name_target_and_limit_as_every_page_shows_them(power: float) -> None:
    visit = a_visit(a_piece("chuck-4-jaw", size="8in", mount="D1-4"), a_piece("boring-bars"))
    made = reckon(a_lathe(asking=None), visit, CATALOGUE, Preferences(power=power))
    target, limit = made.offer.target, made.offer.limit
    assert target is not None
    assert limit is not None
    under = counter(made, target, (), CATALOGUE).reasons[0]
    over = counter(made, dollars(9000), (), CATALOGUE).reasons[0]
    assert dict(under.values)["target"] == rounded_down(target)
    assert dict(over.values)["limit"] == rounded_down(limit)
    (adding,) = (reason for reason in made.offer.reasons if reason.id == "offer-pieces-add")
    assert dict(adding.values)["most"] == rounded_down(made.bundle.adds.limit)


@pytest.mark.parametrize("asking", [None, dollars(1800)])
@pytest.mark.parametrize("price", [dollars(1650), dollars(900), dollars(0)])
def test_no_figure_is_above_what_he_asks_now(asking: Money | None, price: Money) -> None:
    his = said("seller", price)
    reckoning = reckoned(said("seller", dollars(1750)), his, asking=asking)
    opening, target, limit = (getattr(reckoning.offer, n) for n in ("opening", "target", "limit"))
    assert opening <= target <= limit <= price
    steps = still_to_say(reckoning.offer, reckoning.visit.sayings, RAISES)
    assert all(step < price for step in steps)


def test_coming_down_he_does_not_move_the_target_away() -> None:
    before = reckoned()
    target = before.offer.target
    assert target is not None
    down = reckoned(said("seller", target))
    assert down.offer.target == target
    assert counter(down, target, (), CATALOGUE).answer == "accept"


def test_a_price_at_which_he_keeps_something_caps_nothing() -> None:
    less = Saying("s", "seller", dollars(900), ("p-steady-rest",))
    assert reckoned(less).offer == reckoned().offer


def test_his_price_says_why_the_limit_is_no_more() -> None:
    offer = reckoned(said("seller", dollars(1300)), asking=None).offer
    told = [reason.id for reason in offer.reasons]
    assert offer.limit == dollars(1300)
    assert "offer-said-caps" in told
    assert "offer-asking-unknown" not in told


def test_what_was_said_is_not_said_again() -> None:
    first, *more = concessions(reckoned().offer, RAISES)
    visit = reckoned(said("me", first)).visit
    assert still_to_say(reckoned().offer, visit.sayings, RAISES) == tuple(more)


def test_more_than_he_asks_or_than_the_limit_is_spoken_against() -> None:
    limit = reckoned().offer.limit
    assert limit is not None
    over = speaks_against(reckoned(), limit + dollars(1))
    more = speaks_against(reckoned(said("seller", dollars(1000))), dollars(1100))
    assert (over and over.id, more and more.id) == (
        "offer-counter-over-limit", "offer-more-than-asked",
    )  # fmt: skip
    assert speaks_against(reckoned(), limit) is None
