"""Actions: what the user did, kept with before and after, so that it can be undone and redone.

The actions stand in the book like every other record, and the cursor (the number of the last
action that is in force) in its settings; so they survive a restart, and a restored generation
brings its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.book.encoding import Record
from kitreckon.book.errors import BookError

KEPT = 500
ACTIONS = "actions"
SETTINGS = "settings"
CURSOR = "history"


@dataclass(frozen=True, slots=True)
class Row:
    """One record of an action: its table and id, as it was before and after (None: not there)."""

    table: str
    id: str
    before: Record | None
    after: Record | None


@dataclass(frozen=True, slots=True)
class Action:
    """One thing the user did, stored by one write. ``n`` is 0 when it changed nothing."""

    n: int
    label: str
    at_utc: str
    rows: tuple[Row, ...] = ()

    def record(self) -> dict[str, Any]:
        """Return the action as its record in the book."""
        return {
            "id": str(self.n),
            "n": self.n,
            "label": self.label,
            "at_utc": self.at_utc,
            "changes": [[row.table, row.id, row.before, row.after] for row in self.rows],
        }


def read_action(record: Record) -> Action:
    """Return the action in a record; BookError when the record is not one."""
    try:
        rows = tuple(Row(*_row(change)) for change in record["changes"])
        n, label, at_utc = record["n"], record["label"], record["at_utc"]
    except (KeyError, TypeError, ValueError) as error:
        raise BookError("an action cannot be read", where="actions") from error
    if type(n) is not int or type(label) is not str or type(at_utc) is not str:
        raise BookError("an action cannot be read", where="actions")
    return Action(n, label, at_utc, rows)


def _row(change: Any) -> tuple[str, str, Record | None, Record | None]:
    table, key, before, after = change
    if type(table) is not str or type(key) is not str:
        raise TypeError
    for record in (before, after):
        if record is not None and not isinstance(record, Mapping):
            raise TypeError
    return table, key, before, after


@dataclass(frozen=True, slots=True)
class History:
    """The actions of a book, oldest first, and the number of the last one in force."""

    actions: tuple[Action, ...] = ()
    cursor: int = 0

    @property
    def last(self) -> int:
        """The highest number given so far."""
        return self.actions[-1].n if self.actions else 0

    @property
    def next_drops(self) -> tuple[int, ...]:
        """The actions that go when one more is done: those undone, and the oldest beyond KEPT."""
        if self.cursor == self.last and len(self.actions) < KEPT:
            return ()
        in_force = [action.n for action in self.actions if action.n <= self.cursor]
        undone = [action.n for action in self.actions if action.n > self.cursor]
        return (*undone, *in_force[: max(0, len(in_force) + 1 - KEPT)])

    def moved(self, cursor: int, added: Action | None, dropped: Sequence[int]) -> History:
        """Return the history with its cursor moved, and actions added and dropped."""
        actions = self.actions
        if dropped:
            actions = tuple(action for action in actions if action.n not in dropped)
        return History((*actions, added) if added else actions, cursor)

    @property
    def undoable(self) -> Action | None:
        """The action that undo would take back."""
        return next((a for a in reversed(self.actions) if a.n <= self.cursor), None)

    @property
    def redoable(self) -> Action | None:
        """The action that redo would do again."""
        return next((a for a in self.actions if a.n > self.cursor), None)

    def before(self, action: Action) -> int:
        """Return the cursor as it stands once ``action`` is undone."""
        return max((a.n for a in self.actions if a.n < action.n), default=0)


def label_of(action: Action | None) -> str:
    """Return what the user did, in a few words; nothing where there is no action."""
    return action.label if action else ""


def check_in_force(rows: Iterable[Row], tables: Mapping[str, Mapping[str, Record]]) -> None:
    """Raise BookError unless every record is as the rows say it is before they are applied."""
    for row in rows:
        if tables.get(row.table, {}).get(row.id) != row.before:
            raise BookError(
                "this cannot be taken back or done again: its records were changed outside the "
                "program since",
                want="restore an earlier generation",
            )


def records_of(
    rows: Iterable[Row], cursor: int, action: Action | None, gone: Iterable[int]
) -> dict[str, dict[str, Record | None]]:
    """Return all that one write stores, by table and id (None: removed).

    The rows as they are to be, the cursor, the action that is new, and those that are ``gone``.
    """
    tables: dict[str, dict[str, Record | None]] = {}
    for row in rows:
        tables.setdefault(row.table, {})[row.id] = row.after
    actions: dict[str, Record | None] = {str(n): None for n in gone}
    if action is not None:
        actions[str(action.n)] = action.record()
    if actions:
        tables[ACTIONS] = actions
    tables.setdefault(SETTINGS, {})[CURSOR] = {"id": CURSOR, "cursor": cursor}
    return tables


def turned_round(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Return the rows that take these back, last first."""
    return tuple(Row(r.table, r.id, r.after, r.before) for r in reversed(tuple(rows)))
