from __future__ import annotations

import pytest

from builders import a_lathe, a_mill, a_piece, length
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import Fit, fit, fit_all
from kitreckon.fitting.posts import overhang_mm
from kitreckon.standards import Standards


def said(found: Fit) -> list[str]:
    return [reason.id for reason in found.reasons]


def post(**facts: object):  # type: ignore[no-untyped-def]
    usual = {"mount": "AXA", "low_height": "12mm", "high_height": "30mm"}
    return a_piece("toolpost-quick-change", **(usual | facts))


@pytest.mark.parametrize(
    ("centre", "verdict", "reason"),
    [
        ("28mm", "fits", "post-spans-centre"),  # floor 15.3 with a 12.7 shank
        ("20mm", "fits", "post-spans-centre"),  # shanks up to 8 only
        ("41mm", "fits", "post-spans-centre"),  # 30 + 12.7 still reaches
        ("15mm", "misfit", "post-too-high"),  # 12 + 6.35 is above 15
        ("50mm", "fits-with", "post-too-low"),  # 30 + 12.7 is below 50
    ],
)
def test_height_decides(catalogue: Catalogue, centre: str, verdict: str, reason: str) -> None:
    found = fit(post(), a_lathe(post_height=length(centre)), catalogue)
    assert (found.verdict, said(found)[0]) == (verdict, reason)


def test_smaller_shanks_only_is_said_with_its_source(catalogue: Catalogue) -> None:
    found = fit(post(), a_lathe(post_height=length("20mm")), catalogue)
    assert {"post-smaller-shanks", "row-one-source"} <= set(said(found))
    assert found.confirmed == 1


@pytest.mark.parametrize(
    ("machine", "piece", "fact"),
    [
        ({"post_height": None}, {}, "post_height"),
        ({}, {"low_height": None}, "piece.low_height"),
        ({}, {"high_height": None}, "piece.high_height"),
    ],
)
def test_height_not_known_names_the_one_measurement(
    catalogue: Catalogue, machine: dict[str, object], piece: dict[str, object], fact: str
) -> None:
    found = fit(post(**piece), a_lathe(**machine), catalogue)
    assert found.settle is not None and found.settle.fact == fact


def test_series_unusual_for_the_swing_is_a_warning_only(catalogue: Catalogue) -> None:
    lathe = a_lathe(swing=length("16in"), post_height=length("28mm"))
    found = fit(post(), lathe, catalogue)
    assert found.verdict == "fits"
    assert "post-unusual-for-swing" in said(found)


def test_holder_goes_by_the_series_of_the_post(catalogue: Catalogue) -> None:
    pieces = [
        post(),
        a_piece("toolholder-quick-change", id="same", mount="AXA"),
        a_piece("toolholder-quick-change", id="other", mount="BXA"),
    ]
    found = fit_all(pieces, a_lathe(), catalogue)
    assert (found["same"].verdict, found["other"].verdict) == ("fits", "misfit")


def test_holders_of_a_series_that_is_in_no_table_go_on_the_post_called_so(
    catalogue: Catalogue,
) -> None:
    posts = [a_piece("toolpost-quick-change", mount="T2")]
    for mount, verdict in (("T2", "fits"), ("T1", "misfit"), ("AXA", "misfit")):
        holder = a_piece("toolholder-quick-change", mount=mount)
        assert fit(holder, a_lathe(), catalogue, here=posts).verdict == verdict


def test_a_shank_for_a_post_in_no_table_is_tried_in_its_holder(catalogue: Catalogue) -> None:
    posts = [a_piece("toolpost-quick-change", mount="T2")]
    found = fit(a_piece("boring-bars", size="1/2in"), a_lathe(), catalogue, here=posts)
    assert found.verdict == "unknown"
    assert found.settle is not None and found.settle.question.id == "try-in-holder"


def test_a_holder_on_a_mills_shank_goes_on_no_post(catalogue: Catalogue) -> None:
    holder = a_piece("toolholder-quick-change", mount="ISO40")
    found = fit(holder, a_lathe(), catalogue, here=[a_piece("toolpost-quick-change", mount="BXA")])
    assert (found.verdict, said(found)) == ("misfit", ["holder-on-shank"])
    assert fit(holder, a_mill(spindle_socket="ISO40"), catalogue).verdict == "fits"
    assert fit(holder, a_mill(spindle_socket="R8"), catalogue).verdict == "misfit"


def test_holder_without_a_post_is_unknown(catalogue: Catalogue) -> None:
    found = fit(a_piece("toolholder-quick-change", mount="AXA"), a_lathe(), catalogue)
    assert found.verdict == "unknown"


@pytest.mark.parametrize(("shank", "verdict"), [("1/2in", "fits"), ("3/4in", "misfit")])
def test_shank_against_what_the_holders_take(
    catalogue: Catalogue, shank: str, verdict: str
) -> None:
    tool = a_piece("tools-insert", size=shank)
    assert fit(tool, a_lathe(), catalogue, here=[post()]).verdict == verdict


def test_boring_bar_says_how_far_it_stands(catalogue: Catalogue, standards: Standards) -> None:
    # lathe reference page: a 1/2 in bar in steel 2 in, in carbide 3-1/2; 2-1/2 in steel is too far
    found = fit(a_piece("boring-bars", size="1/2in"), a_lathe(), catalogue, here=[post()])
    assert "bar-overhang" in said(found)
    assert overhang_mm(standards, 12.7) < 2.5 * 25.4
    assert overhang_mm(standards, 12.7, carbide=True) == pytest.approx(3.5 * 25.4)


@pytest.mark.parametrize(("bar", "bore"), [("3/8in", "1/2in"), ("7/16in", "5/8in")])
def test_a_boring_bar_says_which_bores_it_enters(catalogue: Catalogue, bar: str, bore: str) -> None:
    found = fit(a_piece("boring-bars", size=bar), a_lathe(), catalogue, here=[post()])
    enters = next(dict(r.values) for r in found.reasons if r.id == "bar-enters")
    assert enters["bore"].mm == pytest.approx(length(bore).mm, abs=0.01)


def test_bars_and_bits_may_go_in_a_mills_boring_head(catalogue: Catalogue) -> None:
    assert fit(a_piece("boring-bars", size="1/2in"), a_mill(), catalogue).verdict == "unknown"
    assert fit(a_piece("tools-insert", size="1/2in"), a_mill(), catalogue).verdict == "misfit"


def test_a_mill_has_no_compound(catalogue: Catalogue) -> None:
    assert fit(post(), a_mill(), catalogue).verdict == "misfit"
