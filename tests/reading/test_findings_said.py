"""Faults of the machine told in an advert: proposed from their words, never from a denial."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import the_catalogue
from kitreckon.catalogue.load import check_file
from kitreckon.catalogue.model import FindingRule, Telling
from kitreckon.reading.findings_said import SaidFinding, findings_said, of_class, rules_for

LATHE = "engine-lathe-small"


def told(text: str, machine_class: str = LATHE) -> dict[str, SaidFinding]:
    rules = of_class(the_catalogue().findings.values(), [machine_class])
    return {said.kind: said for said in findings_said(text, rules)}


TOLD = [
    ("Back gear has one tooth missing.", {"headstock-gear-tooth"}),
    ("two teeth are missing from the bull gear", {"headstock-gear-tooth"}),
    ("a broken tooth on the back gear", {"headstock-gear-tooth"}),
    ("Ways are worn near the chuck", {"bed-wear"}),
    ("there is a ridge on the bed up by the headstock", {"bed-wear"}),
    ("the bed shows wear", {"bed-wear"}),
    ("Crack in the bed.", {"cracked-casting"}),
    ("saddle casting is cracked at the back", {"cracked-casting"}),
    ("hairline crack in the headstock, never been a problem", {"cracked-casting"}),
    ("Cross slide was dropped and brazed", {"repaired-casting"}),
    ("No motor.", {"motor-missing"}),
    ("Sold without motor or stand", {"motor-missing"}),
    ("Lovely lathe, no motor but runs off a lineshaft", {"motor-missing"}),
    ("motor burnt out", {"motor-missing"}),
    ("it needs a new motor", {"motor-missing"}),
    ("Missing: motor and belt guard", {"motor-missing", "guards-missing"}),
    ("half nuts worn out", {"half-nut-wear"}),
    ("the half nuts are badly worn", {"half-nut-wear"}),
    ("worn half nuts", {"half-nut-wear"}),
    ("needs new half-nuts", {"half-nut-wear"}),
    ("Needs half nuts.", {"half-nut-wear"}),
    ("The bull gear lost a couple of teeth years ago", {"headstock-gear-tooth"}),
    ("no change wheels I'm afraid", {"change-gears-missing"}),
    ("power feed on the carriage doesn't work", {"power-feed-dead"}),
    ("gibs are missing on the cross slide", {"gib-missing"}),
    ("half nuts and leadscrew are worn", {"half-nut-wear", "leadscrew-worn"}),
    ("Leadscrew bent", {"leadscrew-worn"}),
    ("15 thou of backlash in the cross slide", {"cross-feed-backlash"}),
    ("Top slide has loads of slop", {"compound-backlash"}),
    ("The spindle bearings rumble", {"spindle-bearing-noise"}),
    ("there's play in the headstock bearings", {"spindle-bearing-play"}),
    ("power feed doesn't engage", {"power-feed-dead"}),
    ("gearbox jumps out in the fast range", {"feed-gearbox-broken"}),
    ("It does not run", {"not-runnable"}),
    ("won't start", {"not-runnable"}),
    ("Cannot be seen running, no power to the garage", {"not-seen-running"}),
    ("tailstock handle snapped off", {"handles-broken"}),
    ("top slide handle is missing", {"handles-broken"}),
    ("the belt guard is gone", {"guards-missing"}),
    ("wiring is a bit dodgy", {"electrics-unsafe"}),
    ("gives you a shock now and then", {"electrics-unsafe"}),
    ("the belt is perished", {"belts-perished"}),
    ("tailstock taper is scored", {"tailstock-socket-scored"}),
    ("bed dinged where a chuck was dropped", {"bed-dings"}),
    ("pitting on the ways from a leaky roof", {"rust-pits"}),
    ("the cross slide is seized", {"carriage-seized"}),
    ("no tailstock", {"tailstock-missing"}),
    ("Freshly painted", {"fresh-paint"}),
    ("Runs fine except the half nuts are worn", {"half-nut-wear"}),
    ("nothing wrong with it apart from a cracked apron", {"cracked-casting"}),
    ("no manual and the ways are worn", {"bed-wear"}),
    ("half nuts worn, easily replaced", {"half-nut-wear"}),
    ("the half nuts need to be replaced", {"half-nut-wear"}),
    ("Bed is pretty good, only worn up near the chuck", {"bed-wear"}),
    ("missing the top slide handle", {"handles-broken"}),
    ("One of the half nuts is worn", {"half-nut-wear"}),
    ("No motor, tailstock or guards", {"motor-missing", "tailstock-missing", "guards-missing"}),
]


@pytest.mark.parametrize(("text", "kinds"), TOLD)
def test_a_fault_that_is_told_is_proposed(text: str, kinds: set[str]) -> None:
    assert set(told(text)) == kinds


NOT_TOLD = [
    "No cracks.",
    "no cracks, welds or repairs in any casting",
    "No cracks in the bed",
    "the bed has no cracks",
    "free of cracks and repairs",
    "the castings are free from cracks",
    "Ways are not worn",
    "the ways aren't worn at all",
    "hardly any wear on the ways",
    "very little wear to the bed",
    "Bed wear is minimal",
    "no noticeable play in the spindle bearings",
    "zero backlash in the cross slide",
    "cross slide backlash: none",
    "New half nuts",
    "half nuts were worn so I replaced them",
    "replaced the worn half nuts last year",
    "new half nuts fitted as the old ones were worn",
    "fitted new half nuts",
    "no teeth missing on any gear",
    "no broken teeth in the back gear",
    "none of the gears has a broken tooth",
    "the back gear is not missing any teeth",
    "all gears have all their teeth",
    "motor runs quiet",
    "no motor noise",
    "no motor problems",
    "no tailstock wear",
    "new motor and belts",
    "not missing anything",
    "nothing is broken or missing",
    "it does not run hot",
    "does not need new belts",
    "power feeds all work",
    "6in 3 jaw chuck, jaws worn",
    "vise with a broken handle",
    "the drill chuck is worn out",
    "the coolant pump does not work",
    "DRO not working",
    "rotary table is seized",
    "tool post handle bent",
    "cracked faceplate",
    "Any cracks in the bed?",
    "Is the motor missing?",
    "if the half nuts are worn you can make new ones",
    "check any old lathe for worn ways",
    "look for worn ways on any lathe of this age",
    "unlike most of these the bed is not worn",
    "my other lathe has worn half nuts",
    "many of these have cracked gearboxes",
    "never had a crack or a broken gear",
    "no rust, cracks or missing handles",
    "never been welded or brazed",
    "the ways show less wear than you would expect",
    "neither the bed nor the leadscrew is worn",
    "ways like new, leadscrew good, half nuts good",
    "chuck guard, belt guard and gear guard all present",
    "It runs and all speeds work",
    "good ways and tight half nuts",
    "can't find any wear in the bed",
    "swivel base vice without handle",
    "I don't have the motor cover",
    "does the leadscrew have any wear",
    "half nuts like new, chuck jaws worn",
    "no missing parts no broken gears no stories",
    "crack free castings",
    "the old motor burnt out so it has a new one",
    "I stripped the headstock, cleaned it and put it back",
    "would suit someone who has a lathe with a broken gearbox",
    "half nuts need a clean",
]


@pytest.mark.parametrize("text", NOT_TOLD)
def test_what_denies_mends_asks_or_is_of_another_thing_proposes_nothing(text: str) -> None:
    assert told(text) == {}


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("wiring is a bit rough but perfectly safe", "electrics-unsafe"),
        ("Selling as I bought another lathe and the belt guard is missing", "guards-missing"),
        ("Selling because my next machine is coming, belt guard missing", "guards-missing"),
        ("Minimal cracks in the headstock casting", "cracked-casting"),
        ("Wiring is frayed, zero other faults", "electrics-unsafe"),
        ("Headstock is cracked, little more to say", "cracked-casting"),
        ("If you look closely there is a crack in the bed", "cracked-casting"),
        ("belt guard missing, never needed it, quite safe", "guards-missing"),
        ("small crack in the bed, does not affect anything", "cracked-casting"),
        ("headstock was cracked, since repaired by a professional", "cracked-casting"),
        ("the chuck guard switch is bypassed, no problem if you are careful", "guards-missing"),
        ("good guards missing", "guards-missing"),
        ("Please look at the crack in the bed in picture 3", "cracked-casting"),
        ("check the photos, crack in the bed", "cracked-casting"),
        ("the crack in the saddle is not a problem", "cracked-casting"),
        ("No guards, never had them, never needed them", "guards-missing"),
        ("There is no guard over the change gears", "guards-missing"),
        ("never fitted with guards", "guards-missing"),
        ("stop switch does not work but easy fix", "electrics-unsafe"),
        ("some exposed wires, not dangerous", "electrics-unsafe"),
        ("tailstock casting was broken and has been welded better than new", "cracked-casting"),
    ],
)
def test_a_danger_is_never_hidden_by_a_reassurance(text: str, kind: str) -> None:
    said = told(text)
    assert kind in said
    assert said[kind].danger


@pytest.mark.parametrize(
    "text",
    [
        "slight wear on the ways",
        "the half nuts may be worn",
        "ways show the usual wear",
        "half nuts were worn",
        "a little play in the spindle bearings",
        "one gear has a tooth missing",
        "chuck is stuck on the spindle",
        "Live centre, bearing gone",
        "the motor was dead until I wired it anew, runs fine now",
        "headstock was cracked, since repaired by a professional",
    ],
)
def test_what_is_mild_doubtful_past_or_mended_is_asked_about(text: str) -> None:
    assert {said.sure for said in told(text).values()} == {False}


def test_a_small_crack_is_as_sure_as_a_large_one() -> None:
    assert told("small crack in the bed")["cracked-casting"].sure


def test_a_finding_comes_with_the_words_it_rests_on() -> None:
    said = told("Tidy lathe, 6in chuck, the Half Nuts are  badly worn, $900. Ways worn as well.")
    assert said["half-nut-wear"].text == "the Half Nuts are badly worn"
    assert list(said) == ["half-nut-wear", "bed-wear"]


def test_a_finding_is_told_once_by_its_surest_words() -> None:
    said = findings_said(
        "Half nuts may be worn.\nHalf nuts are worn.", the_catalogue().findings.values()
    )
    assert [(each.kind, each.sure) for each in said] == [("half-nut-wear", True)]


@pytest.mark.parametrize(
    ("text", "machine_class", "kinds"),
    [
        ("Ways worn", "knee-mill", {"table-ways-worn"}),
        ("The table has been drilled into", "knee-mill", {"table-drilled"}),
        ("quill has some play", "knee-mill", {"quill-play"}),
        ("missing drawbar", "knee-mill", {"drawbar-missing"}),
        ("vari speed head clatters", "knee-mill", {"speed-drive-worn"}),
        ("R8 taper is scored", "knee-mill", {"mill-spindle-taper"}),
        ("wheel guard is missing", "surface-grinder", {"wheel-guard-missing"}),
        ("hydraulic table feed leaks", "surface-grinder", {"hydraulics-leak"}),
        ("bull gear has a chipped tooth", "shaper", {"bull-gear-broken"}),
        ("table does not lock to the column", "drill-press", {"column-loose"}),
    ],
)
def test_each_sort_of_machine_has_its_own_findings(
    text: str, machine_class: str, kinds: set[str]
) -> None:
    assert kinds <= set(told(text, machine_class))


def test_a_rule_of_the_users_own_is_told_in_its_own_words() -> None:
    rule = FindingRule(
        "tumbler-seized", "", "", "tumbler", "note", told=(Telling(("seized",), ("tumbler",)),)
    )
    assert [said.kind for said in findings_said("tumblers seized, bed fine", [rule])] == [
        "tumbler-seized"
    ]
    assert findings_said("tumblers not seized", [rule]) == ()


@pytest.mark.parametrize(
    ("text", "kind", "other"),
    [
        ("13in engine lathe. Ways worn.", "bed-wear", "table-ways-worn"),
        ("Knee mill. Ways worn.", "table-ways-worn", "bed-wear"),
    ],
)
def test_where_no_class_is_set_the_sort_the_advert_names_decides(
    text: str, kind: str, other: str
) -> None:
    kinds = [said.kind for said in findings_said(text, rules_for(text, "", the_catalogue()))]
    assert kind in kinds
    assert other not in kinds


def test_where_nothing_names_the_sort_one_stretch_of_words_is_one_question() -> None:
    text = "Ways worn."
    said = findings_said(text, rules_for(text, "", the_catalogue()))
    assert len({each.text for each in said}) == 1


def test_a_telling_without_words_tells_nothing() -> None:
    rule = FindingRule("odd", "", "", "odd", "note", told=(Telling(("", "?!"), ("", "bed")),))
    assert findings_said("bed?! bed.", [rule]) == ()


def test_the_loader_names_a_telling_that_does_not_say_what_is_wrong(tmp_path: Path) -> None:
    file = tmp_path / "findings.yaml"
    file.write_text(
        "format: 1\nsubject: findings\nfindings:\n  odd:\n    british: odd\n    american: odd\n"
        "    cause: odd\n    effect: note\n    told:\n      - of: [bed]\n"
    )
    (problem,) = check_file(file)
    assert (problem.line, "fault" in problem.found + problem.remedy) == (10, True)


def test_every_finding_of_the_catalogue_has_words_it_is_told_in() -> None:
    assert [rule.id for rule in the_catalogue().findings.values() if not rule.told] == []


@given(st.text(max_size=300))
def test_no_text_raises(text: str) -> None:
    findings_said(text, the_catalogue().findings.values())


@given(
    st.sampled_from([text for text, _ in TOLD]), st.sampled_from(["Nice lathe.\n", "6in chuck; "])
)
def test_words_before_a_fault_do_not_hide_it(text: str, before: str) -> None:
    assert set(told(before + text)) >= set(told(text))


def test_a_list_without_end_is_read_to_its_limit():
    assert told("no 4 jaw, " * 3_000) == {}


@pytest.mark.parametrize(
    "text",
    ["Half nuts worn but replaced the belt", "Half nuts are badly worn, new ones can be had"],
)
def test_what_is_put_right_on_another_part_mends_nothing(text: str) -> None:
    assert "half-nut-wear" in told(text)
