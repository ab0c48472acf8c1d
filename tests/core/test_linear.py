"""The small linear algebra, against numpy."""

import numpy as np
import pytest

from webapp.core import linear


@pytest.mark.parametrize("size", [1, 2, 3, 6])
def test_inverse_and_solution(size: int) -> None:
    """Inverse and solution agree with numpy on random positive definite matrices."""
    generator = np.random.default_rng(size)
    for _ in range(50):
        root = generator.normal(size=(size, size))
        matrix = root @ root.T + 0.01 * np.eye(size)
        right = generator.normal(size=size)
        lower = linear.cholesky(matrix.tolist())
        found = linear.solve(lower, right.tolist())
        assert np.allclose(found, np.linalg.solve(matrix, right), rtol=1e-7)
        inverse = np.array(linear.inverse(matrix.tolist()))
        assert np.allclose(inverse, np.linalg.inv(matrix), rtol=1e-7)
        assert (inverse == inverse.T).all()


@pytest.mark.parametrize("matrix", [[[1.0, 1.0], [1.0, 1.0]], [[-1.0]], [[0.0]], [[float("nan")]]])
def test_singular_is_refused(matrix: list[list[float]]) -> None:
    """A matrix that has no useful inverse is refused, never inverted into noise."""
    with pytest.raises(ArithmeticError):
        linear.cholesky(matrix)
