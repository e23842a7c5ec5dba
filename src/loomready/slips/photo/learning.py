"""Which features speak for warp on top: learned from the photograph itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_ROUNDS = 12
_RIDGE = 2.0
_MISLABELED = 0.02  # share of the cells whose label is wrong, or that a hair hides


@dataclass(frozen=True, slots=True, eq=False)
class Rule:
    """Logarithm of how much likelier warp on top is than weft: ``weights`` float[K], and ``bias``."""

    weights: Array
    bias: float

    def __call__(self, features: Array) -> Array:
        """float[...] of features float[..., K]."""
        told: Array = features @ self.weights + self.bias
        return told


def learned(features: Array, up: npt.NDArray[np.bool_]) -> Rule:
    """Logistic regression on features float[N, K] and labels bool[N], some of which are wrong.

    Ridge keeps the weights small where few cells were labeled.
    """
    label = np.where(up, 1 - _MISLABELED, _MISLABELED)
    inputs = np.column_stack([features, np.ones(len(features))])
    weights = np.zeros(inputs.shape[1])
    ridge = np.full(inputs.shape[1], _RIDGE)
    ridge[-1] = 1e-3
    for _ in range(_ROUNDS):
        chance = 1 / (1 + np.exp(-np.clip(inputs @ weights, -30, 30)))
        slope = inputs.T @ (label - chance) - ridge * weights
        curve = (inputs * (chance * (1 - chance))[:, None]).T @ inputs + np.diag(ridge)
        step = np.linalg.solve(curve, slope)
        weights = weights + step
        if np.abs(step).max() < 1e-4:
            break
    return Rule(weights[:-1], float(weights[-1]))
