"""The solver of an event's plans: OR-Tools CP-SAT, set so that it answers the same on every machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

_SEED = 7


def steady_solver(effort: float) -> cp_model.CpSolver:
    """One worker, a fixed seed, and a limit of deterministic effort in place of one of time."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.num_workers = 1
    settings.random_seed = _SEED
    settings.max_deterministic_time = effort
    settings.catch_sigint_signal = False
    return solver
