"""The pruned search against a plain model of ties and feet, which knows nothing of shared treadles."""

import itertools

import numpy as np
import pytest
from ortools.sat.python import cp_model

from loomready.draft.shedding.treadle_search import fewest

SHAFTS = 6


def can_be_tied(lifts: list[int], treadles: int, feet: int) -> bool:
    model = cp_model.CpModel()
    tie = {place: model.new_bool_var("") for place in itertools.product(range(treadles), range(SHAFTS))}
    for lift in lifts:
        press = [model.new_bool_var("") for _ in range(treadles)]
        model.add(sum(press) <= feet)
        for shaft in range(SHAFTS):
            raised = []
            for treadle in range(treadles):
                up = model.new_bool_var("")
                model.add_multiplication_equality(up, [press[treadle], tie[treadle, shaft]])
                raised.append(up)
            if lift >> shaft & 1:
                model.add_bool_or(raised)
            else:
                model.add(sum(raised) == 0)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
    return status != cp_model.INFEASIBLE


@pytest.mark.parametrize(("seed", "feet"), [(seed, 2 + seed % 2) for seed in range(16)])
def test_one_treadle_fewer_does_not_do(seed: int, feet: int) -> None:
    random = np.random.default_rng(seed)
    tied = [int(random.integers(1, 1 << SHAFTS) & random.integers(1, 1 << SHAFTS)) or 1 for _ in range(5)]
    unions = [one | other for one, other in itertools.combinations(tied, 2)]
    lifts = sorted({*random.permutation([*tied, *unions])[:7].tolist(), int(random.integers(1, 1 << SHAFTS))})
    found = fewest(lifts, feet)
    least = len(found.treadles)
    assert found.at_least == least
    assert can_be_tied(lifts, least, feet)
    assert not can_be_tied(lifts, least - 1, feet)
