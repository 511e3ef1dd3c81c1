"""One whole brief for all of them: making it takes as long as many tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from brief.store.desk import Store
from tests.asking import TestClient
from tests.fuzz.whole_brief import make_whole


@pytest.fixture(scope="session")
def whole_home(tmp_path_factory: pytest.TempPathFactory, served: TestClient) -> tuple[Path, str]:
    """The home of a brief with something of every kind in it, closed, and the id of the brief."""
    home = tmp_path_factory.mktemp("whole")
    store = Store(home)
    own, served.app.state.store = served.app.state.store, store
    brief_id = make_whole(served)
    served.app.state.store = own
    store.close()
    return home, brief_id
