"""What holds for every test: nothing of the developer's own, and no hurry on a busy machine."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


@pytest.fixture(scope="session", autouse=True)
def _nobodys_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Tests meet neither the book nor the catalogue folder of whoever runs them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        patch.delenv("KITRECKON_BOOK", raising=False)
        yield
