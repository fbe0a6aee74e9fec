"""What an advert says of the machine: each fact or fault is taken, dropped, or left. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from kitreckon.catalogue.model import Sort
from kitreckon.count import FINDING_LOOK, Finding, Machine, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, in_other_money, read_money
from kitreckon.reading.findings_said import SaidFinding
from kitreckon.reading.machine_facts import Value, facts_for, machine_facts, same_fact

Said = Value | Money


@dataclass
class SaidFacts:
    """What is said of a machine and is not known of it so, by its field of a Machine."""

    machine: Machine | None = None
    said: dict[str, Said] = field(default_factory=dict)
    taken: set[str] = field(default_factory=set)

    @classmethod
    def of(
        cls, advert: str, asking: Money | None, machine: Machine | None, sort: Sort | None
    ) -> SaidFacts:
        """Return what is said; what is not known yet is marked to be taken."""
        said: dict[str, Said] = {**facts_for(sort, machine_facts(advert))}
        if asking is not None:
            said["asking"] = asking
        facts = cls(machine)
        facts.said = {n: value for n, value in said.items() if not same_fact(facts.known(n), value)}
        facts.take_all()
        return facts

    def known(self, name: str) -> Said | None:
        """Return what is known of a fact."""
        known: Said | None = getattr(self.machine, name) if self.machine else None
        return known

    def turn(self, name: str) -> bool:
        """Mark a fact to be taken, or not; what is known otherwise is not overruled."""
        if self.known(name) is not None:
            return False
        self.taken ^= {name}
        return True

    def take_all(self) -> None:
        """Mark everything that is not known yet to be taken."""
        self.taken = {name for name in self.said if self.known(name) is None}

    def drop(self, name: str) -> None:
        """Forget a fact."""
        del self.said[name]
        self.taken.discard(name)

    def put_on(self, machine: Machine) -> Machine:
        """Return a machine with the facts that are marked; they are forgotten here."""
        told = {name: self.said[name] for name in self.taken}
        for name in told:
            self.drop(name)
        return replace(machine, **told)  # type: ignore[arg-type]  # fields of a Machine


@dataclass
class SaidFaults:
    """The faults of the machine an advert tells, by the finding; what was found already is none."""

    visit: Visit | None = None
    said: dict[str, SaidFinding] = field(default_factory=dict)
    taken: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, told: Iterable[SaidFinding], visit: Visit | None) -> SaidFaults:
        """Return what is told and not found yet; what is sure is marked to be taken.

        What was looked at and is not so is told all the same: he may know better.
        """
        found = {each.kind for each in visit.findings} if visit else set()
        faults = cls(visit)
        faults.said = {each.kind: each for each in told if each.kind not in found}
        faults.taken = {
            name for name, each in faults.said.items() if each.sure and not faults.not_so(name)
        }
        return faults

    def not_so(self, name: str) -> bool:
        """Return whether it was looked at, and none was seen."""
        return self.visit is not None and self.visit.looked(FINDING_LOOK + name) is not None

    def turn(self, name: str) -> bool:
        """Mark a fault to be taken, or not."""
        self.taken ^= {name}
        return True

    def take_all(self) -> None:
        """Mark every fault to be taken."""
        self.taken = set(self.said)

    def drop(self, name: str) -> None:
        """Forget a fault."""
        del self.said[name]
        self.taken.discard(name)

    def put_on(self, visit: Visit, new_id: Callable[[], str]) -> Visit:
        """Return a visit with the faults that are marked, as said; they are forgotten here."""
        told = [each for name, each in self.said.items() if name in self.taken]
        for each in told:
            self.drop(each.kind)
        found = (Finding(new_id(), each.kind, note=each.text, seen=False) for each in told)
        open_again = {FINDING_LOOK + each.kind for each in told}
        looks = tuple(look for look in visit.looks if look.want not in open_again)
        return replace(visit, looks=looks, findings=(*visit.findings, *found))


def other_money(asked: str, advert: str, currency: str) -> str:
    """Return what he asks where it is not in the user's money, else nothing."""
    return asked if in_other_money(asked, currency, advert) else ""


def asking_of(asked: str, advert: str, currency: str) -> Money | None:
    """Return what he asks, None where it is no plain figure in the user's money."""
    if not asked or other_money(asked, advert, currency):
        return None  # pounds are not dollars: it stays to be asked
    try:
        return read_money(asked, currency)
    except KitreckonError:
        return None
