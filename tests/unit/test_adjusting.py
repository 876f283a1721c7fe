"""Adjustment of observations against a published example and numpy's own least squares."""

from __future__ import annotations

import random

import pytest

from planner.logbook.ledger.adjusting import Observation, adjust

# Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000), example 1.1, from memory: a
# heat exchanger with a bypass, six flows all measured with one uncertainty. Its published result stands below.
MEASURED = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)
RECONCILED = (100.22, 64.50, 35.72, 64.50, 35.72, 100.22)


def test_the_published_flows_round_a_bypass() -> None:
    through, past = (0, 1.0), (1, 1.0)
    streams = ((through, past), (through,), (past,), (through,), (past,), (through, past))
    rows = [Observation(terms, value, 1.0) for terms, value in zip(streams, MEASURED, strict=True)]
    found = adjust(rows, 2)
    for terms, reconciled in zip(streams, RECONCILED, strict=True):
        assert sum(factor * found.values[of] for of, factor in terms) == pytest.approx(reconciled, abs=0.005)


@pytest.mark.parametrize("seed", range(8))
def test_against_numpy(seed: int) -> None:
    import numpy as np

    rng = random.Random(seed)
    unknowns = rng.randint(2, 30)
    rows = [Observation(((index, 1.0),), rng.gauss(5, 3), rng.uniform(0.2, 4)) for index in range(unknowns)]
    for _ in range(60):
        some = rng.sample(range(unknowns), min(unknowns, rng.randint(1, 4)))
        terms = tuple((index, rng.uniform(-2, 2)) for index in some)
        rows.append(Observation(terms, rng.gauss(0, 5), rng.uniform(0.2, 4)))
    found = adjust(rows, unknowns)
    matrix, right = np.zeros((len(rows), unknowns)), np.zeros(len(rows))
    for number, row in enumerate(rows):
        for index, factor in row.terms:
            matrix[number, index] = factor / row.u
        right[number] = row.value / row.u
    solved, squares, *_ = np.linalg.lstsq(matrix, right, rcond=None)
    inverse = np.linalg.inv(matrix.T @ matrix)
    hat = np.diag(matrix @ inverse @ matrix.T)
    assert found.values == pytest.approx(tuple(solved), rel=1e-8, abs=1e-10)
    assert found.score == pytest.approx(float(squares[0]), rel=1e-9)
    assert [found.covariance(k, k) for k in range(unknowns)] == pytest.approx(
        list(np.diag(inverse)), rel=1e-8
    )
    normalised = (right - matrix @ solved) / np.sqrt(1 - hat)
    assert list(found.normalised) == pytest.approx(list(normalised), rel=1e-6, abs=1e-8)


def test_an_unknown_left_free_is_told() -> None:
    with pytest.raises(ValueError, match="left free"):
        adjust([Observation(((0, 1.0),), 1.0, 1.0)], 2)
