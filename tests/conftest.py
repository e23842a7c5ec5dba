"""How all tests run: no deadlines on a busy machine; on CI the same examples each time."""

import os

import pytest
from hypothesis import Phase, settings

from tests.packet.typeset_once import keep_in

# Programs that tests start need not compile all modules each time.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
# A mutation run asks only whether a test fails: the same few examples each time, none made smaller.
settings.register_profile(
    "mutants",
    deadline=None,
    derandomize=True,
    database=None,
    max_examples=50,
    phases=(Phase.explicit, Phase.generate),
)
settings.load_profile(os.environ.get("LOOMREADY_TESTS") or ("ci" if os.environ.get("CI") else "here"))


@pytest.fixture(scope="session", autouse=True)
def sheets_once(tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.getbasetemp()
    keep_in((folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder) / "sheets")
