"""How far naming a taper reaches: a seeded simulation, pooled by system. Prints a table.

Two places are drawn evenly on a cone of the tables, its projection past the gauge plane
included; both diameters and the distance get the stated uncertainty. A draw is separable when
every other cone of the tables lies at least five standard deviations from what it measures
without noise.

    python tests/benchmarks/identify.py [draws] [seed]
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from time import perf_counter

from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting import (
    Identification,
    identify_nose,
    identify_socket,
    identify_taper,
    identify_thread,
)
from kitreckon.fitting.cones import Measured, all_cones, nearest
from kitreckon.fitting.identify_threads import thread_uses
from kitreckon.fitting.threads import major_band_mm
from kitreckon.standards import Cone, Standards

SD_DIAMETER_MM, SD_LENGTH_MM = 0.03, 0.3
SEPARABLE_SD = 5.0
SURE = 0.9
Answer = tuple[str, Identification]  # the true name, and what was answered


@dataclass
class Tally:
    """Counts of one system's draws."""

    draws: int = 0
    separable: int = 0
    first: int = 0  # separable draws whose own name stands first
    sure: int = 0  # separable draws answered with more than SURE
    answered: int = 0  # all draws answered with more than SURE
    right: int = 0  # of those, the right name
    near: int = 0  # draws that are not separable
    both_named: int = 0  # of those, every cone nearer than SEPARABLE_SD is named


def draw(cone: Cone, chance: random.Random) -> tuple[Measured, Measured]:
    """Return what two places on a cone measure, without noise and with it."""
    while True:
        places = sorted(chance.uniform(-cone.projection_mm, cone.length_mm) for _ in range(2))
        large, small = (cone.large_mm - cone.rate * place for place in places)
        exact = (large, small, places[1] - places[0])
        noisy = (
            chance.gauss(large, SD_DIAMETER_MM),
            chance.gauss(small, SD_DIAMETER_MM),
            chance.gauss(exact[2], SD_LENGTH_MM),
        )
        if noisy[0] > noisy[1] > 0 and noisy[2] > 0:
            return Measured(*exact), Measured(*noisy)


def rivals(cone: Cone, exact: Measured, cones: dict[str, Cone]) -> list[str]:
    """Return the other cones nearer than SEPARABLE_SD to what was measured."""
    return [
        other.name
        for other in cones.values()
        if other.name != cone.name and nearest(other, exact).chi_squared < SEPARABLE_SD**2
    ]


def identified(standards: Standards, noisy: Measured) -> Identification:
    """Return the program's answer to one draw."""
    return identify_taper(standards, noisy.large_mm, noisy.small_mm, noisy.distance_mm)


def count(tally: Tally, cone: Cone, near: list[str], answer: Identification) -> None:
    """Add one draw to the counts."""
    names = [candidate.name for candidate in answer.candidates]
    best = answer.candidates[0] if answer.candidates else None
    certain = best is not None and best.probability > SURE
    tally.draws += 1
    tally.answered += certain
    tally.right += certain and best is not None and best.name == cone.name
    if near:
        tally.near += 1
        tally.both_named += {cone.name, *near} <= set(names)
    else:
        tally.separable += 1
        tally.first += names[:1] == [cone.name]
        tally.sure += certain


def simulate(standards: Standards, draws: int, seed: int) -> dict[str, Tally]:
    """Return the counts by system, ``draws`` of each system."""
    cones = all_cones(standards)
    tallies: dict[str, Tally] = {}
    for system in dict.fromkeys(cone.system for cone in cones.values()):
        chance = random.Random(f"{seed} {system}")
        own = [cone for cone in cones.values() if cone.system == system]
        tally = tallies.setdefault(system, Tally())
        for _ in range(draws):
            cone = chance.choice(own)
            exact, noisy = draw(cone, chance)
            count(tally, cone, rivals(cone, exact, cones), identified(standards, noisy))
    return tallies


def from_no_table(standards: Standards, draws: int, seed: int) -> Iterator[bool]:
    """Draw tapers five deviations from every cone; yield whether each came out as none."""
    cones, chance = all_cones(standards), random.Random(f"{seed} none")
    while draws:
        large, distance = chance.uniform(6, 100), chance.uniform(10, 100)
        small = large - chance.uniform(0.005, 0.4) * distance
        if small < 3:
            continue
        exact = Measured(large, small, distance)
        if rivals(Cone("", "", 1, 1, 1, 1), exact, cones):
            continue
        noisy = Measured(
            chance.gauss(large, SD_DIAMETER_MM),
            chance.gauss(small, SD_DIAMETER_MM),
            chance.gauss(distance, SD_LENGTH_MM),
        )
        if noisy.small_mm < noisy.large_mm:
            draws -= 1
            answer = identified(standards, noisy)
            yield answer.none_probability > 0.5


def socket_answers(standards: Standards, draws: int, seed: int) -> Iterator[Answer]:
    """Two bars in sockets of the tables, mouths off by what wear and grinding leave."""
    chance = random.Random(f"{seed} socket")
    cones = list(standards.cones.values())
    while draws:
        cone = chance.choice(cones)
        mouth = cone.large_mm + chance.gauss(0, 0.1)
        depths = sorted(chance.uniform(0, cone.length_mm) for _ in range(2))
        bars = [chance.gauss(mouth - cone.rate * d, SD_DIAMETER_MM) for d in depths]
        taken = [chance.gauss(depth, SD_LENGTH_MM) for depth in depths]
        if bars[0] > bars[1] > 0 and taken[1] > taken[0] > 0:
            draws -= 1
            yield cone.name, identify_socket(standards, bars[0], taken[0], bars[1], taken[1])


def thread_answers(standards: Standards, draws: int, seed: int) -> Iterator[Answer]:
    """Threads of the tables from anywhere in their band, pitch by a gauge."""
    chance = random.Random(f"{seed} thread")
    threads = [one for one in thread_uses(standards) if one.pitch_mm]
    for _ in range(draws):
        one = chance.choice(threads)
        pitch = one.pitch_mm or 0.0
        major = chance.uniform(*major_band_mm(one.major_mm, pitch))
        yield (
            one.name,
            identify_thread(
                standards, chance.gauss(major, SD_DIAMETER_MM), chance.gauss(pitch, 0.004 * pitch)
            ),
        )


def nose_answers(standards: Standards, draws: int, seed: int) -> Iterator[Answer]:
    """Noses with a taper by their large diameter, their studs and their bolt circle."""
    chance = random.Random(f"{seed} nose")
    noses = [nose for nose in standards.noses.values() if nose.gauge_mm and nose.bolt_circle_mm]
    for _ in range(draws):
        nose = chance.choice(noses)
        assert nose.gauge_mm and nose.bolt_circle_mm
        yield (
            nose.name,
            identify_nose(
                standards,
                register_mm=chance.gauss(nose.gauge_mm, SD_DIAMETER_MM),
                bolt_circle_mm=chance.gauss(nose.bolt_circle_mm, 0.3),
                studs=nose.studs,
            ),
        )


def tally_of(answers: Iterator[Answer]) -> Tally:
    """Count answers whose separability is not known: named, first, sure and right."""
    tally = Tally()
    for name, answer in answers:
        names = [candidate.name for candidate in answer.candidates]
        certain = bool(names) and answer.candidates[0].probability > SURE
        tally.draws += 1
        tally.both_named += name in names
        tally.first += names[:1] == [name]
        tally.answered += certain
        tally.right += certain and names[0] == name
    return tally


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:6.1f} %" if whole else "      - "


def main() -> None:
    """Print the table."""
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    standards = open_catalogue().standards
    start = perf_counter()
    tallies = simulate(standards, draws, seed)
    spent = perf_counter() - start
    print(f"{draws} draws a system, seed {seed}; sd {SD_DIAMETER_MM} and {SD_LENGTH_MM} mm")
    print("system               separable   first  >0.9 of sep.   right of >0.9   both named")
    for name, one in (*tallies.items(), ("all", total(tallies))):
        print(
            f"{name:20} {_share(one.separable, one.draws)} {_share(one.first, one.separable)}"
            f"     {_share(one.sure, one.separable)}   {_share(one.right, one.answered)}"
            f" ({one.answered})   {_share(one.both_named, one.near)}"
        )
    none = list(from_no_table(standards, draws, seed))
    print(f"from no table: {_share(sum(none), len(none))} come out as none")
    print("by other measures    named      first     >0.9      right of >0.9")
    for title, answers in (
        ("two bars in a socket", socket_answers(standards, draws, seed)),
        ("thread and pitch", thread_answers(standards, draws, seed)),
        ("taper, studs, circle", nose_answers(standards, draws, seed)),
    ):
        one = tally_of(answers)
        print(
            f"{title:20} {_share(one.both_named, one.draws)}  {_share(one.first, one.draws)}"
            f"  {_share(one.answered, one.draws)}   {_share(one.right, one.answered)}"
        )
    print(f"{1e6 * spent / sum(one.draws for one in tallies.values()):.0f} microseconds a draw")


def total(tallies: dict[str, Tally]) -> Tally:
    """Return all counts added up."""
    pooled = Tally()
    for one in tallies.values():
        for field in Tally.__dataclass_fields__:
            setattr(pooled, field, getattr(pooled, field) + getattr(one, field))
    return pooled


if __name__ == "__main__":
    main()
