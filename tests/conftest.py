"""How all tests run: no deadlines on a busy machine; on CI the same examples each time."""

import os

from hypothesis import Phase, settings

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
