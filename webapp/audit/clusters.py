"""Mean over eyes when some eyes belong to the same person and so are alike.

Source: Liang & Zeger 1986, Biometrika 73:13, working independence (from memory).
"""

import math
from typing import NamedTuple


class ClusteredMean(NamedTuple):
    """Mean over eyes, its standard error over persons, and how many of each."""

    mean: float
    robust_se: float | None
    n_eyes: int
    n_patients: int


def clustered_mean(clusters: list[list[float]]) -> ClusteredMean:
    """Return the mean over all eyes, with a standard error that allows for two eyes of a person.

    The error has no small-sample factor; below about 40 persons read it with Student's t. It is
    None for one person, of whom nothing can be said about the differences between persons.

    Args:
        clusters: the values of each person's eyes, none empty; 0 and 1 give a proportion.
    """
    n_eyes = sum(len(eyes) for eyes in clusters)
    mean = math.fsum(value for eyes in clusters for value in eyes) / n_eyes
    sums = [math.fsum(value - mean for value in eyes) for eyes in clusters]
    robust_se = math.sqrt(math.fsum(total * total for total in sums)) / n_eyes
    n_patients = len(clusters)
    return ClusteredMean(mean, robust_se if n_patients > 1 else None, n_eyes, n_patients)
