"""What each report says, to whom, and what it must not say."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import a_finding, a_lathe, a_mill, a_piece, a_visit, dollars, length
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, Piece, Preferences, Purchase, Reading, Saying, Visit
from kitreckon.quantities import Money, Range
from kitreckon.reasons import because
from kitreckon.reckoning import next_questions, reckon, shopping
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.sale import sale
from kitreckon.reckoning.shelf import spares
from kitreckon.reports.buyer import buyer_report, question_text
from kitreckon.reports.document import Amount, Bullets, Caution, Document, Facts, Table
from kitreckon.reports.form import form_report
from kitreckon.reports.handshake import agreed_price, handshake_report
from kitreckon.reports.heirs import heirs_report
from kitreckon.reports.inventory import WrittenOff, inventory_report
from kitreckon.reports.moving import moving_report, piece_weight_kg
from kitreckon.reports.rendering import render
from kitreckon.reports.sale import WAYS, sale_report
from kitreckon.reports.seller import seller_report
from kitreckon.reports.shopping import buying_report, shopping_report
from kitreckon.reports.voice import Voice, whole
from kitreckon.reports.whole_parts import whole_parts

CATALOGUE = open_catalogue()
VOICE = Voice(CATALOGUE.words, Style(), CATALOGUE.outfits)
SOURCE = Path(__file__).resolve().parents[2] / "src" / "kitreckon"
KINDS = ("buyer", "seller", "shopping", "inventory", "sale", "heirs", "handshake", "moving")

PIECES = (
    a_piece("chuck-3-jaw", size="6in", mount="D1-4", back="direct"),
    a_piece("chuck-4-jaw", size="8in", mount="L0", back="direct", condition="fair"),
    a_piece("faceplate", size="11in", mount="D1-4", unsafe="cracked"),
    a_piece("caliper", photo="IMG_7.jpg", note="the inside jaws are bent"),
    Piece("p-typed", None, text="a coffee can"),
    a_piece("steady-rest", his=True),
)


def a_count(**facts: object) -> Visit:
    looks = {"chuck-3-jaw": 1, "follow-rest": 0}
    return a_visit(*PIECES, looks=looks, **facts)


@pytest.fixture(scope="module")
def reckoning() -> Reckoning:
    visit = a_count(findings=(a_finding("cross-feed-backlash", note="I think he hides more"),))
    return reckon(a_lathe(seller="a neighbour"), visit, CATALOGUE, Preferences())


def report(kind: str, reckoning: Reckoning, voice: Voice = VOICE) -> Document:
    machine, visit = reckoning.machine, reckoning.visit
    match kind:
        case "buyer":
            questions = next_questions(reckoning, CATALOGUE, 3)
            return buyer_report(reckoning, questions, CATALOGUE, voice)
        case "seller":
            return seller_report(reckoning, voice)
        case "shopping":
            return shopping_report(reckoning, voice)
        case "inventory":
            return inventory_report(
                [reckoning], spares([reckoning], CATALOGUE), voice, CATALOGUE, named=True
            )
        case "sale":
            plan = sale(machine, visit, CATALOGUE, reckoning.preferences)
            return sale_report(machine, visit, plan, CATALOGUE, "USD", voice)
        case "heirs":
            return heirs_report(reckoning, CATALOGUE, voice)
        case "handshake":
            return handshake_report(machine, visit, dollars(1650), voice)
    return moving_report(machine, visit, CATALOGUE, voice)


def numbers(table: Table, column: int) -> list[int]:
    """Return the figures of a column."""
    cells = [row[column] for row in table.rows]
    return [int(c.number) for c in cells if isinstance(c, Amount) and c.number is not None]


def written(document: Document) -> str:
    """Return a document as text on one line."""
    return " ".join(render(document, "text").split())


def text_of(kind: str, reckoning: Reckoning, voice: Voice = VOICE) -> str:
    return render(report(kind, reckoning, voice), "text")


@pytest.mark.parametrize("kind", KINDS)
def test_every_report_is_written_in_every_form(kind: str, reckoning: Reckoning) -> None:
    document = report(kind, reckoning)
    text = render(document, "text")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "12in lathe" in text
    assert "report-" not in text
    assert render(document, "html").count("<h1>") == 1
    assert render(document, "markdown").startswith("# ")
    assert render(document, "csv").count("\r\n") > 2


@pytest.mark.parametrize("kind", ["buyer", "seller", "sale", "heirs", "handshake", "inventory"])
def test_every_report_that_lists_the_faceplate_names_its_danger(
    kind: str, reckoning: Reckoning
) -> None:
    assert "cracked" in text_of(kind, reckoning)


def test_the_buyers_report_has_the_three_figures_and_what_to_ask(reckoning: Reckoning) -> None:
    text = text_of("buyer", reckoning)
    for word in ("opening", "target", "limit", "FIND OUT NEXT", "WHAT IS MISSING"):
        assert word in text
    assert "follow rest" in text


def test_the_buyers_report_says_what_is_only_the_sellers_word(reckoning: Reckoning) -> None:
    sentence = "only the seller's word, nobody has looked"
    assert sentence not in text_of("buyer", reckoning)
    visit = a_visit(a_piece("chuck-3-jaw", seen=False), a_piece("faceplate", seen=False, his=True))
    told = reckon(reckoning.machine, visit, CATALOGUE, reckoning.preferences)
    assert f"{sentence}: 1 of these" in text_of("buyer", told)


def test_the_seller_sees_no_figure_of_the_offer_and_no_opinion(reckoning: Reckoning) -> None:
    text = text_of("seller", reckoning)
    offer = reckoning.offer
    for figure in (offer.opening, offer.target, offer.limit, offer.worth_to_you):
        assert figure is not None
        assert str(figure) not in text
        assert f"{int(figure.major):,}" not in text
    for word in ("opening", "target", "limit", "walk away", "worth", "offer", "he hides more"):
        assert word not in " ".join(text.split()).replace("work worth about", "")


def test_the_seller_sees_what_does_not_fit_and_what_is_missing(reckoning: Reckoning) -> None:
    text = text_of("seller", reckoning)
    assert "DOES NOT FIT THIS MACHINE" in text
    assert "made for L0" in " ".join(text.split())
    assert "backlash" in text


def test_the_seller_reads_what_was_seen_and_nothing_of_what_it_saves_the_buyer(
    reckoning: Reckoning,
) -> None:
    document = report("seller", reckoning)
    words = CATALOGUE.words.sentences
    opinions = ("cover-adapters-cost-more", "price-made-or-fitted", "report-hard-to-get")
    text = " ".join(render(document, "text").split())
    for opinion in opinions:
        start = words[opinion].american.partition("{")[0].strip()
        assert start
        assert start not in text
    assert "looked for, none seen" in text


def test_the_handshake_names_the_machine_and_both_men(reckoning: Reckoning) -> None:
    (table,) = report("handshake", reckoning).tables()
    assert table.rows[0][1] == "12in lathe"
    text = text_of("handshake", reckoning)
    for label in ("Seller, name", "Seller signs", "Buyer, name", "Buyer signs"):
        assert label in text


def test_a_list_to_buy_says_which_size_and_mount(reckoning: Reckoning) -> None:
    best = shopping(reckoning, dollars(900), CATALOGUE)
    (table,) = buying_report(reckoning, best, CATALOGUE, VOICE).tables()
    things = [str(row[2]) for row in table.rows]
    assert "4-jaw chuck, 8in" in things
    assert any("D1-4" in thing for thing in things)
    tiers = [row[0] for row in table.rows if row[0]]
    assert tiers == sorted(tiers, key=["essential", "usual", "handy"].index)


def test_single_figures_of_pieces_are_those_that_add_up(reckoning: Reckoning) -> None:
    table = next(t for t in report("buyer", reckoning).tables() if len(t.columns) == 7)
    shown = {str(row[1]): row[4] for row in table.rows}
    worth = shown["3-jaw chuck, 6in D1-4"]
    assert not isinstance(worth, str)
    value = reckoning.values["p-chuck-3-jaw"]
    assert worth.number is not None
    assert abs(worth.number - value.worth_mean.major) <= 1


@pytest.mark.parametrize("grade", ["very-good", "good", "fair", None])
def test_the_worth_of_the_pieces_adds_up_to_what_the_tooling_adds(grade: Any) -> None:
    lots = (
        a_piece(kind, condition=grade, qty=qty)
        for kind, qty in (("angle-plate", 1), ("boring-bars", 3), ("caliper", 1), ("lathe-dog", 2),
                          ("magnetic-base", 1), ("parting-tool", 1), ("tool-bits", 7))
    )  # fmt: skip
    counted = reckon(a_lathe(), a_visit(*lots), CATALOGUE, Preferences())
    offered, pieces = (t for t in report("buyer", counted).tables()[:2])
    assert sum(numbers(pieces, 4)) == numbers(offered, 2)[-1]


@pytest.mark.parametrize("price", [140_049, 140_050, 140_099])
def test_an_offer_that_nothing_caps_is_the_machine_and_what_the_tooling_adds(price: int) -> None:
    bare = Range(*(Money(price, "USD") for _ in range(3)))
    visit = a_visit(a_piece("angle-plate"), a_piece("boring-bars", qty=3))
    machine = a_lathe(asking=None, bare_price=bare)
    document = report("buyer", reckon(machine, visit, CATALOGUE, Preferences()))
    limit = numbers(document.tables()[0], 1)[-1]
    facts = [row for part in document.parts if isinstance(part, Facts) for row in part.rows]
    assert dict(facts)["machine and tooling, worth to you"] == f"${limit:,}"


def test_what_is_only_worth_its_sale_shows_the_same_figure_twice() -> None:
    kinds = ("angle-plate", "magnetic-base", "parting-tool", "tool-bits", "lathe-dog")
    visit = a_visit(*(a_piece(kind, id=f"{kind}{n}", qty=4) for kind in kinds for n in (1, 2)))
    counted = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    rows = report("buyer", counted).tables()[1].rows
    values = [counted.values[piece.id] for piece in visit.pieces]
    same = [row for row, v in zip(rows, values, strict=True) if v.worth_mean == v.part_out_mean]
    assert len(same) > 4
    assert all(row[4] == row[5] for row in same)


def test_nothing_unsafe_is_said_to_cost_nothing_new(reckoning: Reckoning) -> None:
    rows = report("buyer", reckoning).tables()[1].rows
    (cracked,) = (row for row in rows if "cracked" in str(row[2]))
    assert cracked[4] == Amount("0", 0)
    assert cracked[6] == Amount("")


def test_where_the_deal_is_at_an_end_the_tooling_adds_nothing_to_it() -> None:
    visit = a_visit(a_piece("angle-plate"), findings=(a_finding("headstock-gear-tooth"),))
    ended = report("buyer", reckon(a_lathe(), visit, CATALOGUE, Preferences()))
    assert numbers(ended.tables()[0], 2) == []
    no_price = reckon(a_lathe(bare_price=None), a_visit(a_piece("angle-plate")), CATALOGUE,
                      Preferences())  # fmt: skip
    assert numbers(report("buyer", no_price).tables()[0], 2)[-1] > 0


@pytest.mark.parametrize("budget", [300, 437, 500, 666, 800])
def test_the_list_within_a_budget_adds_up_to_its_total(budget: int) -> None:
    wanted = ("centre-live", "drill-chuck", "drill-chuck-arbor", "boring-bars", "dial-indicator")
    looks = dict.fromkeys((*wanted, "magnetic-base", "parting-tool", "tool-bits"), 0)
    counted = reckon(a_lathe(), a_visit(looks=looks), CATALOGUE, Preferences(index=1.037))
    document = buying_report(
        counted, shopping(counted, dollars(budget), CATALOGUE), CATALOGUE, VOICE
    )
    (facts,) = (part for part in document.parts if isinstance(part, Facts))
    total = dict(facts.rows)["in all"]
    assert f"${sum(numbers(document.tables()[0], 4)):,}" == total


def test_amounts_told_in_one_sentence_are_rounded_alike() -> None:
    least, most = Money(1492, "USD"), dollars(60)
    (told,) = VOICE.why([because("offer-floors-over-ceilings", least=least, most=most)])
    assert told == "no offer: he will want 15 at least and you should give 60 at most"


@given(st.lists(st.integers(0, 100_000), min_size=1, max_size=30))
def test_whole_parts_add_up_and_none_is_off_by_a_unit(cents: list[int]) -> None:
    amounts = [Money(each, "USD") for each in cents]
    parts = whole_parts(amounts)
    assert sum(part.minor for part in parts) == whole(Money(sum(cents), "USD")).minor
    assert all(abs(p.minor - a.minor) < 100 for p, a in zip(parts, amounts, strict=True))


@pytest.mark.parametrize("packing", [155, 477])
@pytest.mark.parametrize("bare", [None, Range(dollars(1), dollars(2), dollars(3))])
def test_the_figures_of_a_sale_add_up(packing: int, bare: Range[Money] | None) -> None:
    kinds = ("angle-plate", "caliper", "micrometer", "lathe-dog", "parting-tool", "steady-rest",
             "dial-indicator", "magnetic-base", "boring-bars", "milling-vise")  # fmt: skip
    visit = a_visit(*(a_piece(kind) for kind in kinds))
    machine, prefs = a_lathe(bare_price=bare), Preferences(hours=0.0, packing=Money(packing, "USD"))
    plan = sale(machine, visit, CATALOGUE, prefs)
    document = sale_report(machine, visit, plan, CATALOGUE, "USD", VOICE)
    (facts,) = (part for part in document.parts if isinstance(part, Facts))
    machine_with, singly, lot, in_all = (re.sub("[$,]", "", value) for _, value in facts.rows[:4])
    ways = [way for way in WAYS if any(line.way == way for line in plan.lines)]
    sums = dict(zip(ways, (sum(numbers(table, 3)) for table in document.tables()), strict=True))
    assert [int(singly), int(lot)] == [sums.get("singly", 0), sums.get("in-lot", 0)]
    with_it = int(machine_with) if bare else sums.get("with-machine", 0)
    assert with_it + int(singly) + int(lot) == int(in_all)


def test_estimates_in_reasons_have_no_cents(reckoning: Reckoning) -> None:
    for reason in VOICE.why(reckoning.offer.reasons):
        assert not re.search(r"\d{2,}\.\d\d\b", reason), reason


def test_a_reading_that_decides_the_state_says_so() -> None:
    chuck = a_piece(
        "chuck-3-jaw",
        size="6in",
        mount="D1-4",
        condition=None,
        readings=(Reading("run-out", length("0.05in")),),
    )
    measured = reckon(a_lathe(), a_visit(chuck), CATALOGUE, Preferences())
    text = " ".join(text_of("buyer", measured).split())
    assert "not judged" not in text
    table = next(t for t in report("buyer", measured).tables() if len(t.columns) == 7)
    assert table.rows[0][2] == "poor at best, measured"
    assert "run-out of 0.05in makes it" in text


def test_a_mill_is_not_asked_for_a_nose() -> None:
    facts = dict(VOICE.machine_facts(a_mill()))
    assert "spindle nose" not in facts
    assert facts["spindle taper"] == "R8"
    shaper = dict(VOICE.machine_facts(a_mill(machine_class="shaper", spindle_socket=None)))
    assert "spindle taper" not in shaper
    lathe = dict(VOICE.machine_facts(a_lathe(nose=None, spindle_socket=None)))
    assert (lathe["spindle nose"], lathe["spindle taper"]) == ("not known", "not known")


def test_questions_start_with_a_capital(reckoning: Reckoning) -> None:
    for question in next_questions(reckoning, CATALOGUE, 20):
        assert question_text(question, VOICE)[0].isupper()


def test_what_the_seller_keeps_is_not_on_the_handshake_list(reckoning: Reckoning) -> None:
    agreed, _, rest = text_of("handshake", reckoning).partition("Stays with the seller")
    assert "steady rest" not in agreed
    assert "steady rest" in rest
    assert "$1,650" in rest


def test_a_price_is_agreed_only_when_both_said_it() -> None:
    his = Saying("s1", "seller", dollars(1800))
    mine = Saying("s2", "me", dollars(1650))
    yes = Saying("s3", "seller", dollars(1650))
    assert agreed_price(a_visit(sayings=(his,))) is None
    assert agreed_price(a_visit(sayings=(his, mine))) is None
    assert agreed_price(a_visit(sayings=(his, mine, yes))) == dollars(1650)


def test_without_a_price_there_is_a_line_to_write_it_on() -> None:
    text = render(handshake_report(a_lathe(), a_count(), None, VOICE), "text")
    assert "price agreed ____" in text
    assert "serial number ____" in text


def test_the_inventory_has_photographs_and_a_total(reckoning: Reckoning) -> None:
    text = text_of("inventory", reckoning)
    assert "IMG_7.jpg" in text
    assert "in all" in text
    assert "bent" in text


def test_one_inventory_holds_several_machines_and_one_shelf(reckoning: Reckoning) -> None:
    shelf = (a_piece("micrometer", size="1in"),)
    visit = Visit("m2", pieces=(a_piece("milling-vise"),))
    other = reckon(a_mill(status="owned"), visit, CATALOGUE, Preferences(), shelf=shelf)
    lathe = replace(reckoning.machine, status="owned")
    both = [other, reckon(lathe, reckoning.visit, CATALOGUE, Preferences())]
    text = render(inventory_report(both, spares(both, CATALOGUE), VOICE, CATALOGUE), "text")
    assert "KNEE MILL" in text
    assert "12IN LATHE" in text
    assert text.count("ON THE SHELF") == 1
    _, _, spare = text.partition("WHAT NO MACHINE USES")
    assert "4-jaw chuck" in spare
    assert "faceplate" not in spare


def test_the_inventory_sums_up_and_names_the_machine_and_the_shelf() -> None:
    shelf = (a_piece("micrometer", size="1in"),)
    machine = a_lathe(serial_number="40617")
    counted = reckon(machine, a_count(), CATALOGUE, Preferences(), shelf=shelf)
    valued = reckon(machine, a_visit(*shelf), CATALOGUE, Preferences())
    document = inventory_report([counted], (), VOICE, CATALOGUE, valued, named=True)
    itself, pieces, owned = document.tables()
    assert "40617" in str(itself.rows[0][1])
    assert numbers(owned, 3)[-1]
    *figures, total = numbers(pieces, 3)
    assert sum(figures) == total


def test_the_price_of_the_machine_stands_under_used_with_who_says_so() -> None:
    counted = reckon(a_lathe(), a_visit(), CATALOGUE, Preferences())
    itself, pieces = inventory_report([counted], (), VOICE, CATALOGUE, named=True).tables()
    used = [column.title for column in itself.columns].index("Used")
    assert "New" not in [column.title for column in itself.columns]
    assert numbers(itself, used) == [1400]
    assert "your own figure" in str(itself.rows[0][-1])
    assert numbers(pieces, 3) == [0]  # no tooling, and no machine among it


def test_a_cracked_piece_costs_new_what_a_sound_one_does() -> None:
    def new(**facts: Any) -> list[object]:
        piece = a_piece("faceplate", size="11in", mount="D1-4", **facts)
        on_shelf = reckon(a_lathe(), a_visit(piece), CATALOGUE, Preferences())
        counted = reckon(a_lathe(), a_visit(piece), CATALOGUE, Preferences(), shelf=(piece,))
        document = inventory_report([counted], (), VOICE, CATALOGUE, on_shelf, named=True)
        return [number for table in document.tables()[1:] for number in numbers(table, 3)]

    assert new(unsafe="cracked") == new() != [0, 0, 0, 0]


def test_an_inventory_takes_what_is_owned_and_names_what_it_leaves_out() -> None:
    def counted(machine: Machine) -> Reckoning:
        visit = Visit(machine.id, pieces=(a_piece("angle-plate"),))
        return reckon(machine, visit, CATALOGUE, Preferences(), shelf=(a_piece("micrometer"),))

    his = counted(a_lathe(name="his lathe"))
    gone = counted(a_lathe(id="m3", name="old lathe", status="sold"))
    mine = counted(a_mill(name="my mill", status="owned"))
    text = written(inventory_report([mine, his, gone], (), VOICE, CATALOGUE))
    assert "MY MILL" in text
    assert "not in this list: his lathe; old lathe" in text
    assert text.count("angle plate") == 1
    nothing = inventory_report([his], (), VOICE, CATALOGUE)
    assert "angle plate" not in written(nothing)
    assert "micrometer" in written(nothing)  # the shelf is owned whatever stands for sale
    asked_for = written(inventory_report([his], (), VOICE, CATALOGUE, named=True))
    assert "angle plate" in asked_for
    assert "for sale and not yours" in asked_for


def test_an_inventory_adds_up_nothing_that_is_only_said_to_be_there() -> None:
    pieces = a_piece("angle-plate"), a_piece("milling-vise", seen=False)
    counted = reckon(a_mill(status="owned"), a_visit(*pieces), CATALOGUE, Preferences())
    document = inventory_report([counted], spares([counted], CATALOGUE), VOICE, CATALOGUE)
    told = [str(cell) for table in document.tables() for row in table.rows for cell in row]
    assert "angle plate" in told
    assert not [cell for cell in told if "vise" in cell]
    assert "Nobody has looked at these, so no sum has them in it: milling" in written(document)


def test_the_inventory_says_what_bought_things_stand_at_in_the_books() -> None:
    bought = [
        Purchase(f"b{n}", "caliper", "used", dollars(100), on, machine_id="m1")
        for n, on in enumerate(("2021-05-01", "2002-01-01", "2026-13-45"))
    ]
    counted = reckon(a_lathe(), a_count(), CATALOGUE, Preferences(), purchases=bought)
    written_off = WrittenOff({"b0": 5.0, "b1": 24.0}, CATALOGUE.judgement)
    table = inventory_report([counted], (), VOICE, CATALOGUE, None, written_off).tables()[-1]
    # over 10 years down to a tenth: half way 55, at the end 10; of no known age: not said
    assert [getattr(row[4], "shown", "") for row in table.rows] == ["55", "10", "?"]


def test_a_set_that_is_short_says_how_many_are_missing(reckoning: Reckoning) -> None:
    short = a_piece("collets-5c", set_of=17, set_has=15)
    text = render(
        seller_report(reckon(a_lathe(), a_visit(short), CATALOGUE, Preferences()), VOICE), "text"
    )
    assert "2 of 17" in text


def test_the_form_marks_faults_as_the_screen_does() -> None:
    outfit = CATALOGUE.outfits["engine-lathe-small"]
    document = form_report(outfit, CATALOGUE, VOICE)
    faults = document.tables()[0]
    assert all(row[0] == "__ F/N" for row in faults.rows)
    assert "broken tooth" in str(faults.rows)
    assert "..." not in render(document, "text")


def test_nothing_dangerous_is_offered_for_sale(reckoning: Reckoning) -> None:
    document = report("sale", reckoning)
    sold = [str(row[1]) for table in document.tables() for row in table.rows]
    assert sold
    assert not [thing for thing in sold if "faceplate" in thing]
    assert "NOT TO BE SOLD" in render(document, "text")


def test_what_was_made_for_the_machine_is_nowhere_said_to_be_better_sold_singly() -> None:
    visit = a_visit(a_piece("change-gears"), a_piece("angle-plate"), a_piece("steady-rest"))
    easily_sold = Preferences(power=0.0, commission=0.0, hours=0.0)
    counted = reckon(a_lathe(), visit, CATALOGUE, easily_sold)
    document = report("sale", counted)
    goes, singly, *_ = document.tables()
    assert {str(row[1]) for row in goes.rows} == {"change gears", "steady rest"}
    assert [str(row[1]) for row in singly.rows] == ["angle plate"]
    assert "Made for this machine, so these go with it" in render(document, "text")


def test_heirs_read_what_things_look_like(reckoning: Reckoning) -> None:
    text = " ".join(text_of("heirs", reckoning).split())
    assert "DANGEROUS" in text
    assert "do not sell" in text
    assert "jaws" in text


def test_shopping_has_boxes_and_the_essential_things_first(reckoning: Reckoning) -> None:
    (table,) = report("shopping", reckoning).tables()
    tiers = [row[0] for row in table.rows]
    order = {VOICE.term("tier", tier): n for n, tier in enumerate(("essential", "usual", "handy"))}
    assert table.tick
    assert [order[str(tier)] for tier in tiers] == sorted(order[str(tier)] for tier in tiers)


def test_moving_warns_and_weighs_a_bigger_chuck_heavier(reckoning: Reckoning) -> None:
    text = text_of("moving", reckoning)
    assert text.count("!!  ") >= 3
    assert "licensed" in text
    small = piece_weight_kg(a_piece("chuck-3-jaw", size="5in"), CATALOGUE)
    large = piece_weight_kg(a_piece("chuck-3-jaw", size="10in"), CATALOGUE)
    assert small is not None
    assert large is not None
    assert 4 < large / small < 7  # 2 to the power 2.5


def taken_off(machine_class: str) -> tuple[str, ...]:
    made = moving_report(a_mill(machine_class=machine_class), a_visit(), CATALOGUE, VOICE)
    lists = [part for part in made.parts if isinstance(part, Bullets)]
    return lists[0].items


def test_each_sort_of_machine_has_what_to_take_off_of_its_own() -> None:
    sorts = ("knee-mill", "engine-lathe-small", "drill-press", "surface-grinder", "shaper")
    lists = {name: taken_off(name) for name in sorts}
    assert [len(one) for one in lists.values()] == [5] * 5
    assert len({one[0] for one in lists.values()}) == 1  # the supply, on any machine
    assert len({line for one in lists.values() for line in one[1:]}) == 20
    assert any("ram" in line for line in lists["shaper"])
    assert any("wheel" in line for line in lists["surface-grinder"])
    assert taken_off("no-such-class") == lists["shaper"][:1]


def test_the_wheel_of_a_grinder_is_warned_of_before_it_is_moved() -> None:
    grinder, mill = (
        moving_report(a_mill(machine_class=name), a_visit(), CATALOGUE, VOICE)
        for name in ("surface-grinder", "knee-mill")
    )
    warned = [
        any(
            "wheel that does not ring" in part.text
            for part in made.parts
            if isinstance(part, Caution)
        )
        for made in (grinder, mill)
    ]
    assert warned == [True, False]


@pytest.mark.parametrize("kind", KINDS)
def test_no_address_of_a_site_is_printed(kind: str, reckoning: Reckoning) -> None:
    text = text_of(kind, reckoning)
    assert not re.search(r"\.(com|org|net|me|uk)\b", text)


def test_reports_follow_the_users_units_and_words(reckoning: Reckoning) -> None:
    british = Voice(CATALOGUE.words, Style("mm", "british"))
    text = text_of("buyer", reckoning, british)
    assert "304.8mm" in text
    assert "centre" in text or "self-centring" in text


def test_a_piece_keeps_the_size_it_is_called_by(reckoning: Reckoning) -> None:
    text = text_of("heirs", reckoning, Voice(CATALOGUE.words, Style("mm", "british")))
    assert "6in" in text
    assert "152.4" not in text


def test_a_200_mm_chuck_is_an_8_in_chuck_to_who_counts_in_inches() -> None:
    from kitreckon.quantities import Length

    assert VOICE.nominal(Length.of_mm(200)) == "8in"
    assert VOICE.nominal(Length.of_mm(16)) == "5/8in"
    assert VOICE.nominal(Length.of_mm(11)) == "7/16in"


def test_an_empty_count_makes_every_report(reckoning: Reckoning) -> None:
    bare = reckon(
        a_lathe(asking=None, bare_price=None, nose=None, swing=None),
        Visit("m1"), CATALOGUE, Preferences(),
    )  # fmt: skip
    for kind in KINDS:
        assert text_of(kind, bare)


def test_a_form_names_what_decides_fit() -> None:
    outfit = CATALOGUE.outfits["engine-lathe-small"]
    text = render(form_report(outfit, CATALOGUE, VOICE), "text")
    for fact in ("Nose", "Register", "Tailstock taper", "Swing over the bed", "telephone".upper()):
        assert fact in text


def said_in(folder: Path) -> Iterator[tuple[str, str]]:
    """Every sentence named in the code: arguments of say, left and right, and labels in tables."""
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            text = node.value if isinstance(node, ast.Constant) else None
            if isinstance(text, str) and text.startswith("report-") and " " not in text:
                yield path.name, text


def test_every_sentence_of_a_report_stands_in_the_words() -> None:
    known = CATALOGUE.words.sentences
    stems = {name.rpartition("-")[0] for name in known}
    missing = [
        (name, sentence)
        for name, sentence in said_in(SOURCE / "reports")
        if sentence not in known
        and sentence.rstrip("-") not in stems | {"report"}
        and not any(one.startswith(sentence) for one in known)
    ]
    assert missing == []


def test_no_sentence_of_a_report_is_left_unused() -> None:
    used = {sentence for _, sentence in said_in(SOURCE / "reports")}
    made = ("report-moving-", "report-heirs-advice-", "report-form-", "report-identify-confirmed-",
            "report-compare-", "report-sale-", "report-fits", "report-misfit", "report-unknown",
            "report-opening", "report-target", "report-limit")  # fmt: skip
    mine = [name for name in CATALOGUE.words.sentences if name.startswith("report-")]
    assert [name for name in mine if name not in used and not name.startswith(made)] == []


BROKEN = a_piece(
    "chuck-3-jaw",
    size="6in",
    mount="D1-4",
    back="direct",
    repair=dollars(47),
    repair_of="a new scroll key",
)


def told(kind: str, *pieces: Piece) -> str:
    visit = a_visit(*pieces, looks={"chuck-3-jaw": 1, "follow-rest": 0})
    made = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    return markdown(report(kind, made))


def markdown(document: Document) -> str:
    """The report in one line, a table's cells between bars, without the marks of Markdown."""
    return " ".join(render(document, "markdown").replace("\\", "").split())


def test_the_buyer_reads_what_a_repair_costs_and_what_it_does() -> None:
    text = told("buyer", BROKEN)
    assert "good, to be put right: a new scroll key" in text
    assert "putting it right costs 47, your own figure (a new scroll key)" in text


def test_the_buyer_reads_when_putting_it_right_does_not_pay() -> None:
    text = told("buyer", BROKEN, a_piece("caliper", repair=dollars(5000)))
    assert "putting it right costs more than it gains by it (5,000)" in text


def test_the_buyer_reads_that_no_repair_makes_an_unsafe_piece_count() -> None:
    cracked = a_piece("chuck-3-jaw", unsafe="cracked", repair=dollars(5))
    assert "no repair makes an unsafe thing count" in told("buyer", cracked)


@pytest.mark.parametrize("kind", ["seller", "handshake", "sale", "inventory"])
def test_others_read_what_has_to_be_put_right_and_never_at_what_cost(kind: str) -> None:
    text = told(kind, BROKEN)
    assert "to be put right: a new scroll key" in text
    assert not re.search(r"(?<!\d)47(?!\d)", text)


def test_what_has_to_be_put_right_is_on_the_list_for_the_shop() -> None:
    text = told("shopping", BROKEN)
    assert "To be put right" in text
    assert re.search(r"3-jaw chuck, 6in D1-4 \| 47 \| a new scroll key", text)
    assert "To be put right" not in told("shopping", a_piece("chuck-3-jaw"))


def test_the_list_within_a_budget_names_the_piece_to_put_right() -> None:
    visit = a_visit(BROKEN, looks={"chuck-3-jaw": 1, "follow-rest": 0})
    made = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    best = shopping(made, dollars(60), CATALOGUE)
    text = markdown(buying_report(made, best, CATALOGUE, VOICE))
    assert re.search(r"3-jaw chuck, 6in D1-4 \| put right \| 47", text)


def test_the_paper_form_says_how_to_note_a_repair() -> None:
    outfit = CATALOGUE.outfits["engine-lathe-small"]
    assert "repair 40" in render(form_report(outfit, CATALOGUE, VOICE), "text")


def test_the_seller_does_not_read_that_a_repair_does_not_pay() -> None:
    text = told("seller", a_piece("chuck-3-jaw", repair=dollars(4747), repair_of="a new body"))
    assert "to be put right: a new body" in text
    assert not re.search(r"4,?747|costs more than", text)


def test_the_buyer_is_told_which_facts_of_the_machine_cannot_be() -> None:
    lathe = a_lathe(spindle_socket="MT3", bore=length("1-3/8in"))
    told = written(report("buyer", reckon(lathe, a_count(), CATALOGUE, Preferences())))
    assert "this spindle can have no MT3 socket" in told
    sound = written(report("buyer", reckon(a_lathe(), a_count(), CATALOGUE, Preferences())))
    assert "can have no" not in sound


def test_a_repair_of_a_piece_that_may_not_fit_is_listed_with_the_doubt() -> None:
    unknown = a_piece("chuck-4-jaw", size="8in", repair=dollars(40), repair_of="a jaw screw")
    counted = reckon(a_lathe(), a_visit(unknown), CATALOGUE, Preferences())
    *_, table = shopping_report(counted, VOICE).tables()
    assert table.rows[0][-1] == "a jaw screw; if it fits"
