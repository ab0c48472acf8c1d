"""Just enough linear algebra for a regression: small symmetric positive definite matrices.

A vector is a list of numbers and a matrix a list of rows. Sums run in index order everywhere, so
that both Pythons add the same numbers in the same order.
"""

import math


def dot(one: list[float], other: list[float]) -> float:
    """Return the inner product of two vectors."""
    total = 0.0
    for index in range(len(one)):
        total += one[index] * other[index]
    return total


def times(matrix: list[list[float]], vector: list[float]) -> list[float]:
    """Return the product of a matrix and a vector."""
    return [dot(row, vector) for row in matrix]


def quadratic_form(matrix: list[list[float]], vector: list[float]) -> float:
    """Return vector' x matrix x vector."""
    return dot(vector, times(matrix, vector))


def cholesky(matrix: list[list[float]]) -> list[list[float]]:
    """Return the lower triangle L with L L' equal to the matrix.

    Raises:
        ArithmeticError: the matrix is not positive definite, or so nearly singular that its
            inverse would be noise (a pivot below 1e-13 of its diagonal).
    """
    size = len(matrix)
    lower = [[0.0] * size for _ in range(size)]
    for row in range(size):
        for column in range(row + 1):
            rest = matrix[row][column]
            for k in range(column):
                rest -= lower[row][k] * lower[column][k]
            if row == column:
                if not rest > 1e-13 * abs(matrix[row][row]):
                    raise ArithmeticError("not positive definite")
                lower[row][row] = math.sqrt(rest)
            else:
                lower[row][column] = rest / lower[column][column]
    return lower


def solve_lower(lower: list[list[float]], right: list[float]) -> list[float]:
    """Return x with L x = right, from the first row down."""
    answer: list[float] = []
    for row in range(len(right)):
        rest = right[row]
        for k in range(row):
            rest -= lower[row][k] * answer[k]
        answer.append(rest / lower[row][row])
    return answer


def solve_upper(lower: list[list[float]], right: list[float]) -> list[float]:
    """Return x with L' x = right, from the last row up."""
    size = len(right)
    answer = [0.0] * size
    for row in range(size - 1, -1, -1):
        rest = right[row]
        for k in range(row + 1, size):
            rest -= lower[k][row] * answer[k]
        answer[row] = rest / lower[row][row]
    return answer


def solve(lower: list[list[float]], right: list[float]) -> list[float]:
    """Return x with L L' x = right."""
    return solve_upper(lower, solve_lower(lower, right))


def inverse(matrix: list[list[float]]) -> list[list[float]]:
    """Return the inverse of a positive definite matrix, symmetric to the last digit.

    Raises:
        ArithmeticError: as ``cholesky``.
    """
    size = len(matrix)
    lower = cholesky(matrix)
    columns = []
    for index in range(size):
        unit = [0.0] * size
        unit[index] = 1.0
        columns.append(solve(lower, unit))
    return [
        [0.5 * (columns[row][column] + columns[column][row]) for column in range(size)]
        for row in range(size)
    ]
