"""Operating systems that fail, stop, write a byte at a time, or forget what was not synced."""

from __future__ import annotations

import errno
import itertools
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from kitreckon.book.system import Stamp, System

CALLS = tuple(name for name in vars(System) if not name.startswith("_"))


class StoppedError(BaseException):
    """The process ends here: nothing after this call happens."""


class WatchedSystem(System):
    """Passes every call on to another system; ``before`` may count, fail or stop it."""

    def __init__(self, inner: System | None = None) -> None:
        self.inner = inner or System()
        self.calls: list[str] = []
        self.opened: set[int] = set()

    def before(self, name: str, arguments: tuple[Any, ...]) -> None:
        self.calls.append(name)

    def die(self) -> None:
        """Close what the process had open, as the kernel does when it ends."""
        for descriptor in self.opened:
            with suppress(OSError):
                self.inner.close(descriptor)
        self.opened.clear()


def _watched(name: str) -> Any:
    def call(self: WatchedSystem, *arguments: Any) -> Any:
        self.before(name, arguments)
        result = getattr(self.inner, name)(*arguments)
        if name in ("create", "open_folder", "open_lock"):
            self.opened.add(result)
        if name == "close":
            self.opened.discard(arguments[0])
        return result

    return call


for _name in CALLS:
    setattr(WatchedSystem, _name, _watched(_name))


class FailingSystem(WatchedSystem):
    """Call number ``at`` fails with ``error``; with ``sticky`` every later call does too.

    Closing never fails to close: the kernel frees the descriptor whatever it returns.
    """

    def __init__(self, at: int, error: int, *, sticky: bool, inner: System | None = None) -> None:
        super().__init__(inner)
        self.at = at
        self.error = error
        self.sticky = sticky
        self.failed = 0

    def before(self, name: str, arguments: tuple[Any, ...]) -> None:
        number = len(self.calls)
        super().before(name, arguments)
        if number == self.at or (self.sticky and number > self.at):
            self.failed += 1
            if name == "close":
                self.inner.close(*arguments)
                self.opened.discard(arguments[0])
            raise OSError(self.error, os.strerror(self.error))


class StoppingSystem(WatchedSystem):
    """The process is gone at call number ``at``."""

    def __init__(self, at: int, inner: System | None = None) -> None:
        super().__init__(inner)
        self.at = at

    def before(self, name: str, arguments: tuple[Any, ...]) -> None:
        super().before(name, arguments)
        if len(self.calls) > self.at:
            raise StoppedError


class OneByteSystem(System):
    """Takes one byte at each write."""

    def write(self, descriptor: int, data: bytes | memoryview) -> int:
        return super().write(descriptor, data[:1])


class ModelDisk(System):
    """A disk in memory that knows what a power cut would leave.

    A file's data is sure once the file was synced, a name in a folder once the folder was.
    """

    def __init__(self) -> None:
        self.nodes: dict[int, bytes] = {}
        self.modes: dict[int, int] = {}
        self.synced: dict[int, bytes] = {}
        self.folders: dict[Path, dict[str, int]] = {Path("/disk"): {}}
        self.sure: dict[Path, dict[str, int]] = {Path("/disk"): {}}
        self.unsure: dict[Path, list[dict[str, int]]] = {Path("/disk"): []}
        self.times: dict[int, int] = {}
        self.descriptors: dict[int, int | Path] = {}
        self.locked: dict[int, int] = {}
        self._number = itertools.count(3)

    def copy(self) -> ModelDisk:
        """Return the disk as the kernel sees it now, with nothing open."""
        return self._disk(self.folders, self.nodes)

    def after_power_cut(self) -> Iterator[ModelDisk]:
        """Return every disk that a power cut now may leave."""
        choices = [[self.sure[folder], *self.unsure[folder]] for folder in self.folders]
        for names in itertools.product(*choices):
            folders = dict(zip(self.folders, names, strict=True))
            torn = [n for n, data in self.nodes.items() if self.synced.get(n) != data]
            used = {node for there in names for node in there.values()}
            for spoil in _SPOILED if used & set(torn) else _SPOILED[:1]:
                nodes = {
                    node: spoil(data, self.synced.get(node, b"")) if node in torn else data
                    for node, data in self.nodes.items()
                }
                yield self._disk(folders, nodes)

    def _disk(self, folders: dict[Path, dict[str, int]], nodes: dict[int, bytes]) -> ModelDisk:
        disk = ModelDisk()
        disk._number = itertools.count(next(self._number))
        disk.nodes, disk.synced = dict(nodes), dict(nodes)
        disk.modes, disk.times = dict(self.modes), dict(self.times)
        disk.folders = {folder: dict(names) for folder, names in folders.items()}
        disk.sure = {folder: dict(names) for folder, names in folders.items()}
        disk.unsure = {folder: [] for folder in folders}
        return disk

    # The calls

    def real_path(self, path: Path) -> Path:
        return path

    def make_folder(self, path: Path) -> None:
        if path not in self.folders:
            self.folders[path], self.sure[path], self.unsure[path] = {}, {}, []

    def list_folder(self, path: Path) -> list[str]:
        if path not in self.folders:
            raise FileNotFoundError(errno.ENOENT, "no such folder")
        return list(self.folders[path])

    def stamp(self, path: Path) -> Stamp:
        if path in self.folders:
            return Stamp(0, 0, 0, 0o700)
        node = self._node(path)
        return Stamp(node, len(self.nodes[node]), self.times[node], self.modes[node])

    def read(self, path: Path) -> bytes:
        return self.nodes[self._node(path)]

    def create(self, path: Path, mode: int) -> int:
        if path.name in self._names(path):
            raise FileExistsError(errno.EEXIST, "there already")
        node = next(self._number)
        self.nodes[node], self.modes[node], self.times[node] = b"", mode, node
        self._names(path)[path.name] = node
        self._changed(path.parent)
        return self._open(node)

    def set_mode(self, descriptor: int, mode: int) -> None:
        self.modes[self._file(descriptor)] = mode

    def write(self, descriptor: int, data: bytes | memoryview) -> int:
        node = self._file(descriptor)
        self.nodes[node] += bytes(data)
        self.times[node] = next(self._number)
        return len(data)

    def fsync(self, descriptor: int) -> None:
        what = self.descriptors[descriptor]
        if isinstance(what, Path):
            self.sure[what] = dict(self.folders[what])
            self.unsure[what] = []
        else:
            self.synced[what] = self.nodes[what]

    def close(self, descriptor: int) -> None:
        self.locked = {n: held for n, held in self.locked.items() if held != descriptor}
        del self.descriptors[descriptor]

    def link(self, old: Path, new: Path) -> None:
        node = self._node(old)
        if new.name in self._names(new):
            raise FileExistsError(errno.EEXIST, "there already")
        self._names(new)[new.name] = node
        self._changed(new.parent)

    def replace(self, old: Path, new: Path) -> None:
        node = self._node(old)
        del self._names(old)[old.name]
        self._names(new)[new.name] = node
        self._changed(new.parent)

    def unlink(self, path: Path) -> None:
        self._node(path)
        del self._names(path)[path.name]
        self._changed(path.parent)

    def open_folder(self, path: Path) -> int:
        return self._open(path)

    def open_lock(self, path: Path) -> int:
        if path.name not in self._names(path):
            return self.create(path, 0o600)
        return self._open(self._node(path))

    def lock(self, descriptor: int) -> bool:
        node = self._file(descriptor)
        return self.locked.setdefault(node, descriptor) == descriptor

    def rewrite(self, descriptor: int, data: bytes) -> None:
        self.nodes[self._file(descriptor)] = data

    # Within

    def _open(self, what: int | Path) -> int:
        descriptor = next(self._number)
        self.descriptors[descriptor] = what
        return descriptor

    def _file(self, descriptor: int) -> int:
        node = self.descriptors[descriptor]
        assert isinstance(node, int)
        return node

    def _names(self, path: Path) -> dict[str, int]:
        if path.parent not in self.folders:
            raise FileNotFoundError(errno.ENOENT, "no such folder")
        return self.folders[path.parent]

    def _node(self, path: Path) -> int:
        try:
            return self._names(path)[path.name]
        except KeyError:
            raise FileNotFoundError(errno.ENOENT, "no such file") from None

    def _changed(self, folder: Path) -> None:
        self.unsure[folder].append(dict(self.folders[folder]))


def _full(new: bytes, old: bytes) -> bytes:
    return new


def _empty(new: bytes, old: bytes) -> bytes:
    return old


def _half(new: bytes, old: bytes) -> bytes:
    return new[: len(new) // 2]


def _zeros(new: bytes, old: bytes) -> bytes:
    return bytes(len(new))


_SPOILED = (_full, _empty, _half, _zeros)
