"""Least squares with the readings' own errors, and how sure the answer is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
# Two quantities whose columns differ by less than this share are one quantity to the arithmetic.
ALIKE = 1e-6


@dataclass(frozen=True)
class Fit:
    """``values`` with their ``covariance``; ``residuals`` are seen less said, in the readings' own unit.

    ``scatter`` is how far the readings lie from the fit, in their stated errors: about 1 where they are as good as was
    said; ``None`` where there are no more readings than unknowns. ``freedom``: readings left over.
    """

    values: tuple[float, ...]
    covariance: Matrix
    residuals: tuple[float, ...]
    scatter: float | None
    freedom: int

    def error(self, *weights: float) -> float:
        """Standard error of a sum of the values, each times its weight; in the sum's own unit."""
        one = np.array(weights)
        return float(np.sqrt(max(0.0, one @ self.covariance @ one)))


def told_apart(matrix: Matrix) -> bool:
    """Whether the readings tell the unknowns apart: a row a reading, a column an unknown."""
    sizes = np.linalg.norm(matrix, axis=0)
    if matrix.shape[0] < matrix.shape[1] or not np.all(sizes > 0):
        return False
    return bool(np.linalg.svd(matrix / sizes, compute_uv=False)[-1] > ALIKE)


def fit(matrix: Matrix, seen: Matrix, errors: Matrix) -> Fit:
    """Values whose sums, weighted by ``matrix``, lie nearest to what was ``seen``.

    ``errors`` is the covariance of the readings. Standard errors follow from it, and grow with the scatter where that
    is worse than was said; they never shrink below it. The caller must know that the unknowns can be told apart.
    Source: generalised least squares; the growing factor is Birge's ratio.
    """
    lower = np.linalg.cholesky(errors)
    rows, goals = np.linalg.solve(lower, matrix), np.linalg.solve(lower, seen)
    values, *_ = np.linalg.lstsq(rows, goals, rcond=None)
    freedom = len(seen) - matrix.shape[1]
    off = float(np.sum((goals - rows @ values) ** 2))
    scatter = float(np.sqrt(off / freedom)) if freedom else None
    covariance = np.linalg.inv(rows.T @ rows) * max(1.0, scatter or 0.0) ** 2
    residuals = tuple(float(one) for one in seen - matrix @ values)
    return Fit(tuple(float(one) for one in values), covariance, residuals, scatter, freedom)
