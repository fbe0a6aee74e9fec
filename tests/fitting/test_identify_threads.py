from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.catalogue.load import open_catalogue
from kitreckon.errors import KitreckonError
from kitreckon.fitting import (
    Identification,
    identify_collet,
    identify_nose,
    identify_thread,
    read_pitch,
)
from kitreckon.fitting.identify_threads import thread_uses
from kitreckon.fitting.threads import major_band_mm, thread_size_mm
from kitreckon.reasons import because

STANDARDS = open_catalogue().standards
USES = {use.name: use for use in thread_uses(STANDARDS)}


def names(found: Identification) -> list[str]:
    return [candidate.name for candidate in found.candidates]


@given(
    name=st.sampled_from(sorted(n for n, u in USES.items() if u.pitch_mm)), share=st.floats(0, 1)
)
def test_every_thread_is_named_from_anywhere_in_its_band(name: str, share: float) -> None:
    use = USES[name]
    assert use.pitch_mm is not None
    low, high = major_band_mm(use.major_mm, use.pitch_mm)
    found = identify_thread(STANDARDS, low + share * (high - low), use.pitch_mm)
    first = found.candidates[0]
    assert name in names(found)
    assert first.probability == pytest.approx(
        max(c.probability for c in found.candidates if c.name == name), rel=0.5
    )


def test_pitch_decides_between_near_diameters() -> None:
    assert names(identify_thread(STANDARDS, 31.6, 3.175))[0] == "1-1/4-8"
    assert names(identify_thread(STANDARDS, 31.6, 25.4 / 7))[0] == "1-1/4-7"
    assert names(identify_thread(STANDARDS, 38.9, 4.0))[0] == "M39x4"
    assert names(identify_thread(STANDARDS, 38.0, 3.175))[0] == "1-1/2-8"


def test_diameter_alone_asks_for_the_pitch() -> None:
    found = identify_thread(STANDARDS, 31.6)
    assert {"1-1/4-8", "1-1/4-7"} <= set(names(found)[:4])
    assert found.measure_next is not None and found.measure_next.id == "measure-pitch"


def test_a_nose_thread_asks_for_register_and_form() -> None:
    found = identify_thread(STANDARDS, 38.0, 3.175)
    assert found.measure_next is not None
    assert found.measure_next.id == "measure-register-and-form"


def test_thread_in_no_table_is_none() -> None:
    assert identify_thread(STANDARDS, 31.6, 2.7).none_probability > 0.9
    assert identify_thread(STANDARDS, 29.0, 3.175).none_probability > 0.9


def test_one_thread_says_all_that_has_it() -> None:
    assert {
        because("thread-on-drawbar", name="R8"),
        because("thread-on-nose-studs", name="D1-3"),
        because("thread-on-nose-studs", name="D1-4"),
    } <= set(USES["7/16-20"].uses)
    assert because("thread-on-drawbar", name="ISO30") in USES["1/2-13"].uses


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("8tpi", 3.175),
        ("8 TPI", 3.175),
        ("4mm", 4.0),
        ("11.5 tpi", 25.4 / 11.5),
        ("11-1/2 tpi", 25.4 / 11.5),
    ],
)
def test_pitches_as_typed(text: str, mm: float) -> None:
    assert read_pitch(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "8", "0tpi", "tpi", "80mm", "-4mm", "1e9tpi", "8tpi; rm"])
def test_what_is_no_pitch_is_refused(text: str) -> None:
    with pytest.raises(KitreckonError, match="pitch"):
        read_pitch(text)


@given(st.text(max_size=60))
def test_no_text_breaks_reading_a_pitch_or_a_thread(text: str) -> None:
    thread_size_mm(text)
    with suppress(KitreckonError):
        assert 0.2 <= read_pitch(text) <= 13


def test_studs_alone_leave_the_size_open() -> None:
    found = identify_nose(STANDARDS, studs=3)
    assert {"D1-3", "D1-4"} <= set(names(found)[:4])
    assert found.measure_next is not None and found.measure_next.id == "measure-taper-of-nose"


def test_six_studs_and_taper_name_the_camlock() -> None:
    found = identify_nose(STANDARDS, studs=6, register_mm=106.38)
    assert found.candidates[0].name == "D1-6"
    assert {"A1-6", "A2-6"} <= set(names(found))  # bolts are taken for studs at times
    assert found.candidates[0].probability > 0.9


def test_taper_alone_names_camlock_bolted_and_bayonet_together() -> None:
    found = identify_nose(STANDARDS, register_mm=63.515)
    assert {"D1-4", "A2-4", "DIN55027-4"} == set(names(found)[:3])
    assert found.candidates[0].cone_probability > 0.9
    assert found.measure_next is not None and found.measure_next.id == "look-at-fixing"


def test_bolt_circle_tells_camlock_from_bayonet() -> None:
    taken = {"register_mm": 63.515, "studs": 3}
    assert identify_nose(STANDARDS, **taken, bolt_circle_mm=82.6).candidates[0].name == "D1-4"
    assert identify_nose(STANDARDS, **taken, bolt_circle_mm=85).candidates[0].name == "DIN55027-4"


def test_long_taper_nose_by_its_gauge_diameter() -> None:
    assert identify_nose(STANDARDS, register_mm=104.78).candidates[0].name == "L1"


def test_l0_and_d1_5_are_one_diameter_and_not_one_taper() -> None:
    found = identify_nose(STANDARDS, register_mm=82.56)
    assert {"L0", "D1-5", "A1-5", "A2-5", "DIN55027-5"} == set(names(found))
    assert "L0" not in found.candidates[0].together
    assert identify_nose(STANDARDS, register_mm=82.56, studs=6).candidates[0].name == "D1-5"
    assert "L0" in names(identify_nose(STANDARDS, register_mm=82.56, studs=0))


def test_nose_in_no_table_is_none() -> None:
    assert identify_nose(STANDARDS, register_mm=95.0).none_probability > 0.9
    assert identify_nose(STANDARDS, studs=5, register_mm=63.5).none_probability > 0.9


def test_screwed_nose_by_thread_and_pitch() -> None:
    found = identify_nose(STANDARDS, thread_mm=57.0, pitch_mm=3.175)
    assert found.candidates[0].name == "2-1/4-8"
    assert found.measure_next is not None
    assert found.measure_next.id == "measure-register-and-form"


def test_nothing_known_is_refused() -> None:
    with pytest.raises(KitreckonError):
        identify_nose(STANDARDS)
    with pytest.raises(KitreckonError):
        identify_nose(STANDARDS, studs=-1)
    with pytest.raises(KitreckonError):
        identify_collet(STANDARDS)


@pytest.mark.parametrize(
    ("name", "taken"),
    [
        ("5C", {"body_mm": 31.74}),
        ("5C", {"thread_mm": 31.4, "pitch_mm": 1.27}),
        ("R8", {"body_mm": 24.11, "thread_mm": 11.0, "pitch_mm": 1.27}),
        ("3C", {"body_mm": 16.5}),
        ("16C", {"body_mm": 47.98}),
        ("ER16", {"body_mm": 17.0, "length_mm": 27.5}),
        ("ER25", {"body_mm": 26.0}),
        ("ER32", {"body_mm": 33.0, "length_mm": 40.0}),
        ("ER40", {"body_mm": 41.0}),
    ],
)
def test_collets_by_their_measures(name: str, taken: dict[str, float]) -> None:
    found = identify_collet(STANDARDS, **taken)
    assert found.candidates[0].name == name
    assert found.candidates[0].probability > 0.9


def test_r8_and_4c_share_a_body_until_the_thread_is_measured() -> None:
    found = identify_collet(STANDARDS, body_mm=24.11)
    assert {"R8", "4C"} == set(names(found)[:2])
    assert found.measure_next is not None and found.measure_next.id == "measure-collet-thread"


def test_collet_in_no_table_is_none() -> None:
    assert identify_collet(STANDARDS, body_mm=37.0).none_probability > 0.9


def test_the_bolt_that_holds_a_chuck_on_its_nose_is_named() -> None:
    uses = {one.name: one.uses for one in thread_uses(STANDARDS)}
    bolts = {because("thread-on-nose-bolts", name=name) for name in ("A1-5", "A2-5")}
    assert bolts <= set(uses["7/16-14"])


def test_no_error_is_stated_of_what_was_not_measured() -> None:
    for found in (
        identify_nose(STANDARDS, studs=6),
        identify_nose(STANDARDS, pitch_mm=3.175),
        identify_collet(STANDARDS, length_mm=40),
        identify_collet(STANDARDS, pitch_mm=1.27),
    ):
        assert found.candidates
        assert {one.error_mm for one in found.candidates} == {None}
        assert not any(one.in_limits for one in found.candidates)


def test_the_error_of_a_nose_is_that_of_what_was_measured_of_it() -> None:
    circle = identify_nose(STANDARDS, bolt_circle_mm=104.5).candidates[0]
    assert circle.error_mm == pytest.approx(0.3, abs=0.05)
    by_thread = identify_nose(STANDARDS, thread_mm=57.0, pitch_mm=3.175).candidates[0]
    assert (by_thread.error_mm, by_thread.in_limits) == (0, True)
    flange = {one.name: one for one in identify_nose(STANDARDS, flange_mm=101.6).candidates}
    assert flange["1/2-20"].error_mm is None  # its table has no flange


def test_a_thread_between_its_limits_has_no_error_and_below_them_is_told_to_be_worn() -> None:
    within = identify_thread(STANDARDS, 56.9, 3.175).candidates[0]
    assert (within.name, within.error_mm, within.in_limits) == ("2-1/4-8", 0, True)
    assert "below-nominal" in [note.id for note in within.notes]
    low, _ = major_band_mm(57.15, 3.175)
    worn = identify_thread(STANDARDS, low - 0.08, 3.175).candidates[0]
    assert worn.error_mm == pytest.approx(0.08)
    assert not worn.in_limits
    notes = [note.id for note in worn.notes]
    assert "below-limits" in notes and "below-nominal" not in notes
