"""The one table of keys: bindings, footer, help, palette and the README's list come from it.

Only keys that terminals, tmux and SSH pass on are here; every action is in the palette too.
The words for an action stand in catalogs/words under ``key.<id>``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from textual.binding import Binding


@dataclass(frozen=True, slots=True)
class Key:
    """One action and the keys that do it.

    ``keys`` are named as Textual names them; ``shown`` as people read them. ``line`` says when
    the key acts: at "any" time, or only on the "empty" line (where it is not being typed).
    ``pages``: the pages that know it, all when empty. ``rank``: place in the footer, 0 for none.
    """

    id: str
    keys: tuple[str, ...]
    shown: str
    action: str
    line: str = "any"
    pages: tuple[str, ...] = ()
    rank: int = 0

    @property
    def chord(self) -> bool:
        """Whether it is bound to the page, not read by the line."""
        return self.keys[0].startswith("ctrl+") or self.keys[0] in {"escape", "f1"}

    def on(self, page: str) -> bool:
        """Return whether a page knows this key."""
        return not self.pages or page in self.pages


@dataclass(frozen=True, slots=True)
class PageKey:
    """The letter that opens a page after the go key."""

    letter: str
    page: str


PAGES: tuple[PageKey, ...] = (
    PageKey("l", "machines"),
    PageKey("m", "machine"),
    PageKey("c", "count"),
    PageKey("a", "advert"),
    PageKey("f", "walk"),
    PageKey("n", "missing"),
    PageKey("o", "offer"),
    PageKey("b", "buy"),
    PageKey("v", "compare"),
    PageKey("s", "shelf"),
    PageKey("i", "identify"),
    PageKey("k", "kind"),
    PageKey("e", "earlier"),
    PageKey("u", "settings"),
    PageKey("h", "help"),
)

_ENTERS = (
    "machines",
    "machine",
    "count",
    "advert",
    "walk",
    "offer",
    "buy",
    "compare",
    "shelf",
    "identify",
    "kind",
    "earlier",
    "settings",
    "missing",
)

_OTHERS = tuple(page for page in _ENTERS if page != "count")

KEYS: tuple[Key, ...] = (
    Key("here", ("space",), "space", "space", "empty", ("count",), 1),
    Key("yes", ("space",), "space", "space", "empty", ("machine",), 1),
    Key("found", ("space",), "space", "space", "empty", ("walk",), 1),
    Key("take", ("space",), "space", "space", "empty", ("advert",), 1),
    Key("take-all", ("plus",), "+", "plus", "empty", ("advert",), 3),
    Key("tick", ("space",), "space", "space", "empty", ("compare",), 1),
    Key("keeps", ("space",), "space", "space", "empty", ("offer",), 1),
    Key("change", ("space",), "space", "space", "empty", ("settings",), 1),
    Key("bought", ("space",), "space", "space", "empty", ("buy",), 1),
    Key("none", ("minus",), "-", "minus", "empty", ("count",), 2),
    Key("not-known", ("minus",), "-", "minus", "empty", ("machine", "identify"), 2),
    Key("not-so", ("minus",), "-", "minus", "empty", ("walk",), 2),
    Key("drop", ("minus",), "-", "minus", "empty", ("advert", "shelf"), 2),
    Key("note-keeps", ("minus",), "-", "minus", "empty", ("offer",), 2),
    Key("default", ("minus",), "-", "minus", "empty", ("settings",), 2),
    Key("unbought", ("minus",), "-", "minus", "empty", ("buy",), 2),
    Key("remove", ("minus",), "-", "minus", "empty", ("machines",), 7),
    Key("pass", ("down",), "down", "pass_row", "any", ("count",), 4),
    Key("down", ("down",), "down", "pass_row", "any", (*_OTHERS, "help")),
    Key("up", ("up",), "up", "back_row", "any"),
    Key("next-open", ("tab",), "tab", "next_open", "any", ("count",), 12),
    Key("page-down", ("pagedown",), "pgdn", "page_down", "any"),
    Key("page-up", ("pageup",), "pgup", "page_up", "any"),
    Key("enter", ("enter",), "enter", "enter", "any", _ENTERS),
    Key("take-back", ("backspace",), "bksp", "take_back", "empty", (), 5),
    Key("take-back-any", ("ctrl+r",), "ctrl-r", "take_back"),
    Key("again", ("ctrl+y",), "ctrl-y", "do_again"),
    Key("why", ("equals_sign",), "=", "why", "empty", (), 8),
    Key("why-any", ("ctrl+f",), "ctrl-f", "why"),
    Key("money", ("ctrl+o",), "ctrl-o", "app.money", "any", (), 6),
    Key("money-empty", ("dollar_sign",), "$", "app.money", "empty"),
    Key("clock", ("ctrl+t",), "ctrl-t", "clock", "any", ("count",), 9),
    Key("next", ("ctrl+n",), "ctrl-n", "next_question", "any", ("count", "missing", "offer"), 10),
    Key("closer", ("ctrl+l",), "ctrl-l", "closer", "any", (), 11),
    Key("save", ("ctrl+s",), "ctrl-s", "save_again", "any", (), 0),
    Key("go", ("ctrl+g",), "ctrl-g", "app.go_menu", "any", (), 3),
    Key("back", ("escape",), "esc", "app.back", "any", (), 13),
    Key("help", ("question_mark",), "?", "app.open_page('help')", "empty", (), 14),
    Key("help-any", ("f1",), "f1", "app.open_page('help')"),
    Key("palette", ("ctrl+p",), "ctrl-p", "app.command_palette"),
    Key("leave", ("ctrl+q",), "ctrl-q", "app.leave"),
)


def key(key_id: str) -> Key:
    """Return a key of the table by its id."""
    return next(each for each in KEYS if each.id == key_id)


# What keys do on a sheet laid over a page: nothing is typed there.
SHEET_KEYS: tuple[Key, ...] = (
    replace(key("back"), action="leave_sheet"),
    replace(key("money"), action="cover"),
    replace(key("money-empty"), action="cover"),
    replace(key("down"), action="scroll_text(1)"),
    replace(key("up"), action="scroll_text(-1)"),
    replace(key("page-down"), action="scroll_text(8)"),
    Key("page-on", ("space",), "space", "scroll_text(8)"),
    replace(key("page-up"), action="scroll_text(-8)"),
)


def keys_of(page: str) -> tuple[Key, ...]:
    """Return the keys a page knows, in the order of the table."""
    return tuple(key for key in KEYS if key.on(page))


def bindings_of(page: str) -> list[Binding]:
    """Return the bindings of a page: those that act at any time, ahead of the line's own keys."""
    return [
        Binding(",".join(key.keys), key.action, key.id, show=False, priority=True, id=key.id)
        for key in keys_of(page)
        if key.chord and key.id != "palette"  # the palette's own key is Textual's
    ]


def sheet_bindings() -> list[Binding]:
    """Return the bindings of a sheet laid over a page."""
    return [Binding(",".join(each.keys), each.action, each.id, show=False) for each in SHEET_KEYS]


def empty_line_key(page: str, pressed: str) -> Key | None:
    """Return what a key does on the empty line of a page; None when it is typed."""
    return next((key for key in keys_of(page) if key.line == "empty" and pressed in key.keys), None)


def as_markdown(label: Callable[[str], str], pages: Iterable[PageKey] = PAGES) -> str:
    """Return the list of keys for the README: ``label`` gives the words for an id."""
    lines = ["| key | does | where |", "|---|---|---|"]
    for key in KEYS:
        where = ", ".join(key.pages) if key.pages and len(key.pages) < 8 else "every page"
        when = " (empty line)" if key.line == "empty" else ""
        lines.append(f"| `{key.shown}`{when} | {label(f'key.{key.id}.long')} | {where} |")
    lines += ["", "| after `ctrl-g` | page |", "|---|---|"]
    lines += [f"| `{page.letter}` | {label(f'page.{page.page}')} |" for page in pages]
    return "\n".join(lines)
