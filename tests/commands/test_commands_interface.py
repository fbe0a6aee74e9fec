"""An error of the interface's own ends in one line and a log; a user's mistake in its message."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitreckon.commands.interface import LOG, run_interface
from kitreckon.errors import KitreckonError


def test_the_exit_code_of_the_interface_is_passed_on(tmp_path: Path) -> None:
    assert run_interface(lambda: 143, tmp_path) == 143
    assert list(tmp_path.iterdir()) == []


def test_an_error_of_its_own_is_one_line_with_the_path_of_a_log(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> int:
        raise ZeroDivisionError("no such ratio")

    assert run_interface(broken, tmp_path) == 1
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert str(tmp_path / LOG) in error
    assert "no such ratio" in (tmp_path / LOG).read_text()


def test_where_no_log_can_stand_beside_the_book_it_stands_elsewhere(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> int:
        raise ValueError("odd")

    assert run_interface(broken, tmp_path / "not" / "there") == 1
    named = Path(capsys.readouterr().err.strip().rpartition(" in ")[2])
    assert "odd" in named.read_text()
    named.unlink()


def test_a_users_mistake_is_not_logged(tmp_path: Path) -> None:
    def refused() -> int:
        raise KitreckonError("not so")

    with pytest.raises(KitreckonError):
        run_interface(refused, tmp_path)
    assert list(tmp_path.iterdir()) == []
