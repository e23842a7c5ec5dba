from __future__ import annotations

import pytest

from loomready.draft.draft import Draft

from .samples import striped_twill


@pytest.fixture
def twill() -> Draft:
    return striped_twill()
