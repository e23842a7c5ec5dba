"""What a long search tells while it runs, and how it is ended early.

Both are given to the engine as functions: it keeps the best that it has once it is told to stop.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

Stage = Literal["looms and yarn", "work", "handovers", "shares", "how sure"]


def _nobody(stage: Stage, share: float) -> None:
    return None


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Watch:
    """``on_progress``: is told the stage and how much of it is done, 0 to 1; ``stop``: whether to end."""

    on_progress: Callable[[Stage, float], None] = _nobody
    stop: Callable[[], bool] = _never


UNWATCHED = Watch()
