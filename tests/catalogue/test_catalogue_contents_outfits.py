"""What our own outfits and findings hold: wants that can be met, rules that can be applied."""

from __future__ import annotations

from itertools import product

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import TIERS, Catalogue, Outfit
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, Piece
from kitreckon.fitting import fit
from kitreckon.reckoning.slots import wants_of

CLASSES = (
    "bench-lathe",
    "engine-lathe-small",
    "engine-lathe-large",
    "knee-mill",
    "bench-mill",
    "drill-press",
    "surface-grinder",
    "shaper",
)
LATHES = CLASSES[:3]


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return open_catalogue()


@pytest.fixture(scope="module", params=CLASSES)
def outfit(catalogue: Catalogue, request: pytest.FixtureRequest) -> Outfit:
    return catalogue.outfits[request.param]


def test_there_is_an_outfit_for_each_class(catalogue: Catalogue) -> None:
    assert sorted(catalogue.outfits) == sorted(CLASSES)


def test_want_ids_are_unique(outfit: Outfit) -> None:
    ids = [want.id for want in outfit.wants]
    assert len(ids) == len(set(ids))


def test_wanted_kinds_exist_and_have_a_price(catalogue: Catalogue, outfit: Outfit) -> None:
    for want in outfit.wants:
        for kind in want.any_of:
            assert kind in catalogue.kinds, want.id
            assert kind == "other" or kind in catalogue.prices, want.id


def test_a_want_of_another_thing_says_what_it_is(outfit: Outfit) -> None:
    assert [w.id for w in outfit.wants if "other" in w.any_of and not w.label] == []


def test_what_a_want_needs_is_wanted_too_and_never_itself(outfit: Outfit) -> None:
    tiers = {want.id: TIERS.index(want.tier) for want in outfit.wants}
    for want in outfit.wants:
        for need in want.needs:
            assert need in tiers and need != want.id, want.id
            assert tiers[need] <= tiers[want.id], (want.id, need)


def test_needs_form_no_circle(outfit: Outfit) -> None:
    needs = {want.id: set(want.needs) for want in outfit.wants}
    while ready := {want for want, rest in needs.items() if not rest}:
        needs = {want: rest - ready for want, rest in needs.items() if want not in ready}
    assert needs == {}


def test_chances_quantities_and_tiers_are_in_bounds(outfit: Outfit) -> None:
    for want in outfit.wants:
        assert 0 < want.chance_here < 1, want.id
        assert want.qty >= 1, want.id
        assert want.tier in TIERS, want.id


def test_conditions_ask_for_facts_that_are_asked_of_the_machine(outfit: Outfit) -> None:
    for want in outfit.wants:
        for feature in want.when:
            assert feature.removeprefix("no-") in outfit.features, want.id


def test_the_count_of_lists_is_the_number_of_sources(outfit: Outfit) -> None:
    for want in outfit.wants:
        judged = [source for source in want.sources if source.startswith("no list names it")]
        assert want.lists == len(want.sources) - len(judged), want.id


def test_sources_of_wants_are_told_in_words(outfit: Outfit) -> None:
    for want in outfit.wants:
        assert want.sources, want.id
        assert all(" " in source for source in want.sources), want.id


def test_some_essential_is_wanted_of_every_class(outfit: Outfit) -> None:
    assert any(want.tier == "essential" for want in outfit.wants)


def test_sizes_are_reckoned_from_a_measure_or_given_for_each_piece(outfit: Outfit) -> None:
    for want in outfit.wants:
        if want.size.factor is not None:
            low, typical, high = want.size.factor
            assert low <= typical <= high, want.id
            assert want.size.of, want.id
        assert list(want.size.round_to_mm) == sorted(want.size.round_to_mm), want.id


def test_a_lathe_with_a_gearbox_wants_its_gears_less() -> None:
    for name in LATHES:
        outfit = open_catalogue().outfits[name]
        tiers = {
            known: next(want.tier for want in wants_of(outfit, lathe) if want.id == "change-gears")
            for known in (False, True)
            if (lathe := Machine("m", "", name, features=(("gearbox", known),)))
        }
        assert tiers[False] == "essential"
        assert tiers[True] != "essential"


def test_what_differs_with_a_fact_hangs_on_one_that_is_asked(outfit: Outfit) -> None:
    for want in outfit.wants:
        for other in want.otherwise:
            names = {when.removeprefix("no-") for when in other.when}
            assert names <= {*outfit.features, "three-phase-supply"}, want.id


def test_a_thing_is_one_line_whatever_is_known_of_the_machine(
    catalogue: Catalogue, outfit: Outfit
) -> None:
    for facts in product((None, False, True), repeat=len(outfit.features)):
        known = dict(zip(outfit.features, facts, strict=True))
        features = tuple((name, fact) for name, fact in known.items() if fact is not None)
        machine = Machine("m", "", outfit.machine_class, features=features)
        names = [
            catalogue.words.wanted(want.id, want.label or want.kind, Style())
            for want in wants_of(outfit, machine)
        ]
        assert len(set(names)) == len(names), (known, names)


def test_the_two_engine_lathes_want_different_things(catalogue: Catalogue) -> None:
    small, large = (catalogue.outfits[name] for name in LATHES[1:])
    small_faceplate, large_faceplate = small.want("faceplate"), large.want("faceplate")
    assert small_faceplate is not None and small_faceplate.tier == "usual"
    assert large_faceplate is not None and large_faceplate.tier == "essential"
    assert small.want("chuck-6-jaw") is None and large.want("chuck-6-jaw") is not None


@pytest.mark.parametrize("name", LATHES)
@pytest.mark.parametrize(
    ("want_id", "need"),
    [
        ("collets-5c", "collet-adapter"),
        ("collets-er", "chuck-collet"),
        ("toolholder-quick-change", "toolpost-quick-change"),
        ("drill-chuck", "drill-chuck-arbor"),
        ("centre-dead-spindle", "taper-sleeve"),
        ("lathe-dog", "drive-plate"),
        ("die-holder", "taps-dies"),
    ],
)
def test_what_is_useless_alone_needs_its_partner(
    catalogue: Catalogue, name: str, want_id: str, need: str
) -> None:
    want = catalogue.outfits[name].want(want_id)
    assert want is not None and need in want.needs


def test_a_collet_chuck_does_the_work_of_a_collet_adapter(catalogue: Catalogue) -> None:
    want = catalogue.outfits["engine-lathe-small"].want("collet-adapter")
    assert want is not None and want.any_of == ("collet-adapter", "chuck-collet")


def test_every_finding_can_be_asked_looked_for_and_sourced(catalogue: Catalogue) -> None:
    assert len(catalogue.findings) >= 40
    for rule in catalogue.findings.values():
        assert rule.question.endswith("?"), rule.id
        assert rule.look and rule.source and rule.minutes > 0, rule.id
        assert 0 < rule.chance < 1, rule.id


def test_effects_of_findings_are_in_bounds(catalogue: Catalogue) -> None:
    for rule in catalogue.findings.values():
        if rule.effect == "factor":
            assert 0 < rule.value < 1, rule.id
        elif rule.effect == "amount":
            assert rule.value > 0, rule.id
        else:
            assert rule.value == 0, rule.id


def test_findings_are_about_known_classes(catalogue: Catalogue) -> None:
    for rule in catalogue.findings.values():
        assert set(rule.classes) <= set(CLASSES), rule.id


def test_a_limit_belongs_to_a_reading(catalogue: Catalogue) -> None:
    limited = [rule for rule in catalogue.findings.values() if rule.limit_mm is not None]
    assert len(limited) >= 10
    assert [rule.id for rule in limited if not rule.reading] == []


@pytest.mark.parametrize(
    ("finding", "effect", "value"),
    [  # rules of common practice, no source
        ("not-runnable", "factor", 0.5),
        ("shaft-worn", "amount", 100),
        ("pulley-bore-worn", "amount", 100),
        ("headstock-gear-tooth", "walk-away", 0),
        ("spindle-seat-ruined", "walk-away", 0),
        ("spindle-taper-ruined", "walk-away", 0),
    ],
)
def test_the_rules_of_common_practice_stand(
    catalogue: Catalogue, finding: str, effect: str, value: float
) -> None:
    rule = catalogue.findings[finding]
    assert (rule.effect, rule.value) == (effect, value)
    assert "common practice" in rule.source


def test_what_is_asked_of_a_mill_speaks_of_no_chuck(catalogue: Catalogue) -> None:
    mills = ("knee-mill", "bench-mill", "surface-grinder")
    asked = [r for r in catalogue.findings.values() if r.classes and set(mills) & set(r.classes)]
    assert [r.id for r in asked if "heavy-chuck" in r.cautions] == []
    for name in ("bench-lathe", "engine-lathe-small", "engine-lathe-large", *mills, "drill-press"):
        seats = [r for r in catalogue.findings.values() if name in r.classes]
        assert [r.effect for r in seats if r.cause == "spindle"].count("walk-away") == 1, name


def test_shaft_and_pulley_of_one_countershaft_count_once(catalogue: Catalogue) -> None:
    findings = catalogue.findings
    assert findings["shaft-worn"].cause == findings["pulley-bore-worn"].cause


def test_seeing_it_run_bears_the_caution_of_a_first_run(catalogue: Catalogue) -> None:
    assert "first-run" in catalogue.findings["not-runnable"].cautions


def test_no_wanted_kind_is_refused_by_a_machine_of_which_nothing_is_known(
    catalogue: Catalogue, outfit: Outfit
) -> None:
    machine = Machine("m", "of this class", outfit.machine_class)
    for want in outfit.wants:
        for kind in want.any_of:
            tried = fit(Piece("p", kind), machine, catalogue)
            assert tried.verdict != "misfit", (want.id, kind)
