"""The next question: the greatest expected change of the target per minute."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Literal

import pytest

from builders import a_finding, a_lathe, a_mill, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.words import Style, Words
from kitreckon.count import CONDITIONS, Machine, Preferences, Visit
from kitreckon.reckoning import again, next_questions, reckon
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.outlook import Outlook
from kitreckon.reckoning.questions import Asking, askings, expected_change

CATALOGUE = the_catalogue()


def reckoned(visit: Visit, machine: Machine | None = None, **settings: float) -> Reckoning:
    return reckon(machine or a_lathe(), visit, CATALOGUE, Preferences(**settings))  # type: ignore[arg-type]


def a_full_visit() -> Visit:
    """Pieces judged and not, fits known and not, an arbor others hang on, a stated floor."""
    return a_visit(
        a_piece("chuck-3-jaw", size="6in", mount="D1-4", condition=None),
        a_piece("chuck-3-jaw", id="second", size="5in", mount="D1-4", condition="fair"),
        a_piece("chuck-4-jaw", size="8in", mount="L0", condition=None),
        a_piece("drill-chuck", mount="JT33", condition=None),
        a_piece("drill-chuck-arbor", mount="MT3", condition=None),
        a_piece("taper-sleeve", mount="MT5", condition=None),
        a_piece("steady-rest", condition=None, floor=dollars(400)),
        a_piece("toolpost-quick-change", mount="BXA", condition=None),
        a_piece("toolholder-quick-change", mount="BXA", qty=5, condition=None),
        a_piece("collets-5c", set_of=17, set_has=11, condition=None),
        a_piece("faceplate", unsafe="cracked"),
        a_piece(None, text="odd thing with a lever"),
        looks={"follow-rest": 0, "finding:noisy-bearings": 0},
        findings=(a_finding("shaft-worn"),),
    )


def by_reckoning_anew(reckoning: Reckoning, asking: Asking) -> tuple[float, float]:
    """The expected changes, each outcome reckoned in full with nothing taken over."""
    given = (reckoning.shelf, reckoning.own_prices, reckoning.purchases, reckoning.others)

    def target(then: Reckoning) -> int:
        if then.offer.target is not None:
            return then.offer.target.minor
        assert then.offer.stop
        return 0

    moves = beneath = 0.0
    for outcome in asking.outcomes:
        visit = outcome.visit or reckoning.visit
        if outcome.fits is None:
            then = reckon(reckoning.machine, visit, CATALOGUE, reckoning.preferences, *given)
        else:
            then = again(reckoning, CATALOGUE, visit=visit, fits=outcome.fits)
        moves += outcome.chance * abs(target(then) - target(reckoning))
        now, adds = reckoning.bundle.adds.target, then.bundle.adds.target
        beneath += outcome.chance * abs(adds.minor - now.minor)
    return moves, beneath


@pytest.mark.parametrize("asking_price", [None, 1900, 1200])
def test_expected_change_equals_reckoning_every_outcome_anew(asking_price: int | None) -> None:
    asked = None if asking_price is None else dollars(asking_price)
    reckoning = reckoned(a_full_visit(), a_lathe(asking=asked))
    outlook = Outlook(reckoning)
    questions = list(askings(reckoning, CATALOGUE))
    assert len({asking.id.split(":")[0] for asking in questions}) == 4
    for asking in questions:
        quick = expected_change(outlook, asking)
        assert quick == pytest.approx(by_reckoning_anew(reckoning, asking)), asking.id


def test_expected_change_counts_the_next_best_machine() -> None:
    other = reckon(a_lathe(id="m9", asking=dollars(1000)), a_visit(), CATALOGUE, Preferences())
    visit = a_full_visit()
    reckoning = reckon(a_lathe(), visit, CATALOGUE, Preferences(), others=(other,))
    outlook = Outlook(reckoning)
    for asking in list(askings(reckoning, CATALOGUE))[::5]:
        quick = expected_change(outlook, asking)
        assert quick == pytest.approx(by_reckoning_anew(reckoning, asking)), asking.id


def test_the_best_per_minute_comes_first_and_walk_away_checks_before_all() -> None:
    reckoning = reckoned(a_full_visit())
    questions = next_questions(reckoning, CATALOGUE, limit=100)
    walk = [question.walk_away for question in questions]
    assert walk == sorted(walk, reverse=True)
    assert walk[0]
    assert not walk[-1]
    rates = [q.moves.minor / q.minutes for q in questions if not q.walk_away]
    assert all(now >= then - 1.0 for now, then in pairwise(rates))  # moves are whole cents
    assert next_questions(reckoning, CATALOGUE, limit=3) == questions[:3]


def test_chances_of_every_question_are_chances() -> None:
    for asking in askings(reckoned(a_full_visit()), CATALOGUE):
        total = sum(outcome.chance for outcome in asking.outcomes)
        assert 0.0 < total <= 1.0 + 1e-9, asking.id
        assert asking.minutes > 0.0
        if asking.id.startswith(("judge:", "fit:")):
            assert total == pytest.approx(1.0), asking.id


def test_chances_are_those_of_the_catalogue() -> None:
    reckoning = reckoned(a_full_visit())
    open_ones = {asking.id: asking for asking in askings(reckoning, CATALOGUE)}
    known = CATALOGUE.chances.conditions["rests"]
    judged = [outcome.chance for outcome in open_ones["judge:p-steady-rest"].outcomes]
    assert judged == pytest.approx([known[grade] for grade in CONDITIONS])
    fits = [outcome.chance for outcome in open_ones["fit:p-steady-rest"].outcomes]
    bed = CATALOGUE.shares.fit_chance["bed"]
    assert fits == pytest.approx([bed, 1 - bed])
    (there,) = open_ones["look:drive-plate"].outcomes
    want = CATALOGUE.outfits["engine-lathe-small"].want("drive-plate")
    assert want is not None
    assert there.chance == want.chance_here
    (run,) = open_ones["finding:not-runnable"].outcomes
    assert run.chance == CATALOGUE.findings["not-runnable"].chance


def test_the_caution_stands_beside_see_it_run() -> None:
    questions = next_questions(reckoned(a_visit()), CATALOGUE, limit=100)
    run = next(question for question in questions if question.id == "finding:not-runnable")
    assert "first-run" in run.cautions


def test_what_was_answered_is_not_asked_again() -> None:
    visit = a_visit(
        a_piece("chuck-3-jaw"),
        looks={"follow-rest": 0, "finding:not-runnable": 0},
        findings=(a_finding("shaft-worn"),),
    )
    asked = {question.id for question in next_questions(reckoned(visit), CATALOGUE, limit=999)}
    assert not asked & {
        "look:follow-rest",
        "look:chuck-3-jaw",
        "judge:p-chuck-3-jaw",
        "finding:not-runnable",
        "finding:shaft-worn",
    }


def test_a_machine_that_ran_is_not_asked_for_its_motor() -> None:
    unseen = {question.id for question in next_questions(reckoned(a_visit()), CATALOGUE, 999)}
    ran = a_visit(looks={"finding:not-runnable": 0})
    asked = {question.id for question in next_questions(reckoned(ran), CATALOGUE, limit=999)}
    assert unseen - asked == {
        "finding:not-runnable",
        "finding:not-seen-running",
        "finding:motor-missing",
        "finding:spindle-seized",
    }


def test_nothing_is_asked_about_what_is_unsafe_or_kept() -> None:
    visit = a_visit(
        a_piece("faceplate", unsafe="cracked", condition=None),
        a_piece("steady-rest", his=True, condition=None),
    )
    asked = {question.id for question in next_questions(reckoned(visit), CATALOGUE, limit=999)}
    assert not {name for name in asked if "p-" in name}


def test_rules_of_another_class_are_not_asked() -> None:
    asked = next_questions(reckoned(a_visit(), a_mill()), CATALOGUE, limit=999)
    assert "finding:headstock-gear-tooth" not in {question.id for question in asked}


def test_a_cap_that_holds_the_target_still_leaves_what_would_move_the_bundle() -> None:
    visit = a_visit(a_piece("chuck-3-jaw", condition=None, mount="D1-4"))
    questions = next_questions(reckoned(visit, a_lathe(asking=dollars(200))), CATALOGUE, 999)
    judged = [question for question in questions if question.id == "judge:p-chuck-3-jaw"]
    assert [question.moves for question in judged] == [dollars(0)]


def test_without_a_bare_price_the_bundle_stands_for_the_target() -> None:
    visit = a_visit(a_piece("steady-rest", condition=None))
    questions = next_questions(reckoned(visit, a_lathe(bare_price=None)), CATALOGUE, 999)
    judged = next(question for question in questions if question.id == "judge:p-steady-rest")
    assert judged.moves > dollars(0)


def test_it_stops_when_told_and_gives_nothing() -> None:
    calls = 0

    def after_three() -> bool:
        nonlocal calls
        calls += 1
        return calls > 3

    assert next_questions(reckoned(a_full_visit()), CATALOGUE, cancelled=after_three) == ()
    assert calls == 4


def test_every_question_has_its_sentence() -> None:
    for question in next_questions(reckoned(a_full_visit()), CATALOGUE, 999):
        said = CATALOGUE.words.say(question.question, Style())
        assert "{" not in said
        assert not said.startswith(question.question.id), question.id


@pytest.mark.parametrize(("words", "named"), [("british", "worn vice"), ("american", "worn vise")])
def test_a_finding_without_a_question_is_asked_by_its_name_in_the_users_words(
    words: Literal["british", "american"], named: str
) -> None:
    rule = replace(
        CATALOGUE.findings["not-runnable"], british="worn vice", american="worn vise", question=""
    )
    rules = {**CATALOGUE.findings, rule.id: rule}
    own = Catalogue(lambda name: rules if name == "findings" else getattr(CATALOGUE, name))
    made = reckon(a_lathe(), a_visit(), own, Preferences())
    asking = next(each for each in askings(made, own) if each.id == f"finding:{rule.id}")
    named_so = Words({}, {}, {}, {}, rules)
    (asked,) = (value for _, value in asking.question.values)
    assert named_so.show(asked, Style(words=words)) == named
