"""Facts of a machine that cannot be so are told, each with the facts to look at again."""

from __future__ import annotations

import pytest

from builders import a_lathe, a_mill, a_piece, dollars, length
from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine
from kitreckon.fitting import doubts, fit
from kitreckon.quantities import Money, Range, Unit


def told(machine: Machine, catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    return {doubt.reason.id: doubt.facts for doubt in doubts(machine, catalogue)}


def test_an_ordinary_machine_is_not_doubted(catalogue: Catalogue) -> None:
    assert told(a_lathe(), catalogue) == {}
    assert told(a_mill(), catalogue) == {}
    assert told(Machine("m", "", ""), catalogue) == {}


@pytest.mark.parametrize("bore", ["0.938in", "1.375in"])  # the large end of MT3 is 0.938 in
def test_a_bore_over_the_large_end_leaves_no_socket(bore: str, catalogue: Catalogue) -> None:
    lathe = a_lathe(spindle_socket="MT3", bore=length(bore))
    assert told(lathe, catalogue) == {"no-such-socket": ("spindle_socket", "bore")}


def test_a_bore_between_the_ends_is_a_short_socket_and_no_doubt(catalogue: Catalogue) -> None:
    lathe = a_lathe(spindle_socket="MT3", tailstock_socket="MT2", bore=length("0.9in"))
    sleeve = fit(a_piece("taper-sleeve", mount="MT3", text="sleeve MT3-MT2"), lathe, catalogue)
    assert told(lathe, catalogue) == {}
    assert [reason.id for reason in sleeve.reasons] == ["same-taper", "socket-short"]


@pytest.mark.parametrize(
    ("kind", "facts"),
    [("collets-5c", {"mount": "5C"}), ("taper-sleeve", {"mount": "MT3", "text": "sleeve MT3-MT2"})],
)
def test_nothing_is_said_to_fit_a_socket_that_cannot_be(
    kind: str, facts: dict[str, str], catalogue: Catalogue
) -> None:
    lathe = a_lathe(spindle_socket="MT3", tailstock_socket="MT2", bore=length("1.375in"))
    found = fit(a_piece(kind, **facts), lathe, catalogue)
    reasons = [reason.id for reason in found.reasons]
    assert (found.verdict, reasons) == ("unknown", ["no-such-socket"])
    assert found.settle is not None
    assert found.settle.question.id == "which-is-wrong"


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"nose": "1-1/2-8", "bore": "1.6in", "spindle_socket": None}, "bore-over-nose"),
        ({"nose": "1-1/2-8", "bore": "1in", "spindle_socket": "MT5"}, "socket-over-nose"),
        ({"swing": "12in", "post_height": "6in"}, "post-over-centres"),
        ({"swing": "12in", "swing_over_cross_slide": "12in"}, "cross-over-swing"),
        ({"swing": "2.2in", "post_height": None}, "swing-not-of-class"),
        ({"swing": "6in"}, "swing-is-height"),
        ({"swing": "24in"}, "height-is-swing"),
        ({"swing": "40in"}, "swing-not-of-class"),
    ],
)
def test_facts_that_contradict_each_other_are_told(
    facts: dict[str, str | None], reason: str, catalogue: Catalogue
) -> None:
    measured = {"bore", "swing", "post_height", "swing_over_cross_slide"}
    typed = {
        name: length(text) if name in measured and text else text for name, text in facts.items()
    }
    assert list(told(a_lathe(**typed), catalogue)) == [reason]


def test_a_table_far_from_those_of_its_class_is_told(catalogue: Catalogue) -> None:
    mill = a_mill(table_width=length("2in"))
    assert told(mill, catalogue) == {"table-not-of-class": ("table_width", "machine_class")}


@pytest.mark.parametrize(
    ("parts", "doubted"),
    [(dollars(2400), True), (dollars(1800), False), (Money.of(2400, "EUR"), False)],
)
def test_parts_worth_more_than_the_whole_are_told(
    parts: Money, doubted: bool, catalogue: Catalogue
) -> None:
    bare = Range(dollars(1800), dollars(1800), dollars(1800))
    found = told(a_lathe(parts_value=parts, bare_price=bare), catalogue)
    assert ("parts-over-whole" in found) is doubted


def test_a_post_far_too_large_for_the_swing_is_said(catalogue: Catalogue) -> None:
    post = a_piece("toolpost-quick-change", mount="BXA")
    found = fit(post, a_lathe(swing=length("7in"), post_height=None), catalogue)
    assert found.verdict == "unknown"
    assert [r.id for r in found.reasons] == ["post-far-too-large", "measure-post-height"]
    assert found.chance is not None
    assert found.chance < 0.5


@pytest.mark.parametrize(("series", "swing"), [("AXA", "7in"), ("BXA", "9in"), ("BXA", "13in")])
def test_a_post_near_its_swing_is_left_to_its_height(
    series: str, swing: str, catalogue: Catalogue
) -> None:
    post = a_piece("toolpost-quick-change", mount=series)
    found = fit(post, a_lathe(swing=length(swing), post_height=None), catalogue)
    assert [reason.id for reason in found.reasons] == ["measure-post-height"]
    assert found.chance is None


@pytest.mark.parametrize(("swing", "verdict"), [("7in", "unknown"), ("12in", "misfit")])
def test_a_post_far_too_large_makes_no_holder_a_misfit(
    swing: str, verdict: str, catalogue: Catalogue
) -> None:
    post = a_piece("toolpost-quick-change", mount="BXA")
    holder = a_piece("toolholder-quick-change", mount="AXA")
    assert fit(holder, a_lathe(swing=length(swing)), catalogue, [post]).verdict == verdict


@pytest.mark.parametrize(
    ("machine", "units", "said"),
    [
        (a_lathe(swing=length("40in")), "in", "from 10in to 14in"),
        (a_lathe(swing=length("40in")), "mm", "from 255mm to 360mm"),
        (a_mill(table_width=length("40in")), "in", "from 8in to 11in"),
    ],
)
def test_the_sizes_of_a_class_are_said_in_round_figures(
    machine: Machine, units: Unit, said: str, catalogue: Catalogue
) -> None:
    (doubt,) = doubts(machine, catalogue)
    assert said in catalogue.words.say(doubt.reason, Style(units=units))
