"""Student's t and the normal distribution, written out because the browser's Python has no scipy.

Source of the incomplete beta function: continued fraction of Abramowitz & Stegun 26.5.8, evaluated
by Lentz's method (Lentz 1976, Appl Opt 15:668), both from memory. Checked against scipy.
"""

import math

TINY = 1e-300
CLOSE_ENOUGH = 1e-16
# Quantiles depend on (probability, degrees of freedom) alone, and one plan asks for one many times.
_known_quantiles: dict[tuple[float, float], float] = {}


def log_of_one_plus(small: float) -> float:
    """Return log(1 + small) without losing the digits of a small number (Kahan's correction)."""
    whole = 1.0 + small
    if whole == 1.0:
        return small
    return math.log(whole) * small / (whole - 1.0)


def log_beta(a: float, b: float) -> float:
    """Return the logarithm of the beta function of two positive numbers."""
    large, small = (a, b) if a > b else (b, a)
    if large < 30.0:
        return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    # The two large log-gammas nearly cancel; Stirling's series lets them cancel on paper.
    return (
        math.lgamma(small)
        + stirling_rest(large)
        - stirling_rest(large + small)
        + small
        - small * math.log(large + small)
        - (large - 0.5) * log_of_one_plus(small / large)
    )


def stirling_rest(x: float) -> float:
    """Return what Stirling's formula for log-gamma leaves out, for x of 30 or more.

    Source: Abramowitz & Stegun 6.1.41 (from memory).
    """
    square = x * x
    return (
        1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1260.0 - 1.0 / (1680.0 * square)) / square) / square
    ) / x


def beta_fraction(a: float, b: float, x: float) -> float:
    """Return the continued fraction of the incomplete beta function, x below (a+1)/(a+b+2)."""
    c = 1.0
    d = 1.0 / away_from_zero(1.0 - (a + b) * x / (a + 1.0))
    total = d
    for m in range(1, 20000):
        even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        d = 1.0 / away_from_zero(1.0 + even * d)
        c = away_from_zero(1.0 + even / c)
        total *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        d = 1.0 / away_from_zero(1.0 + odd * d)
        c = away_from_zero(1.0 + odd / c)
        total *= d * c
        if abs(d * c - 1.0) <= CLOSE_ENOUGH:
            break
    return total


def away_from_zero(value: float) -> float:
    """Return the value, or a tiny one in its place: Lentz's method divides by it."""
    return TINY if abs(value) < TINY else value


def incomplete_beta(a: float, b: float, x: float, rest: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b).

    Args:
        a: first parameter, positive.
        b: second parameter, positive.
        x: 0 to 1.
        rest: 1 - x, given by the caller, who knows it without cancellation.
    """
    if x <= 0.0:
        return 0.0
    if rest <= 0.0:
        return 1.0
    log_x = math.log(x) if x < 0.5 else log_of_one_plus(-rest)
    log_rest = math.log(rest) if rest < 0.5 else log_of_one_plus(-x)
    front = math.exp(a * log_x + b * log_rest - log_beta(a, b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * beta_fraction(a, b, x) / a
    return 1.0 - front * beta_fraction(b, a, rest) / b


def t_above(t: float, dof: float) -> float:
    """Return the probability that Student's t exceeds ``t``; exact far out in the tail.

    Args:
        t: the value.
        dof: degrees of freedom, positive.

    Example: t 2.0860, 20 degrees of freedom: 0.0250 (any table of t).
    """
    ratio = t * t / dof
    tail = 0.5 * incomplete_beta(dof / 2.0, 0.5, 1.0 / (1.0 + ratio), ratio / (1.0 + ratio))
    return tail if t >= 0.0 else 1.0 - tail


def t_below(t: float, dof: float) -> float:
    """Return the probability that Student's t is below ``t``. Args: as ``t_above``."""
    return t_above(-t, dof)


def t_between(low: float, high: float, dof: float) -> float:
    """Return the probability of the interval, by whichever tails lose no digits."""
    if low > 0.0:
        return t_above(low, dof) - t_above(high, dof)
    if high < 0.0:
        return t_below(high, dof) - t_below(low, dof)
    return 1.0 - t_below(low, dof) - t_above(high, dof)


def t_within(low: float, high: float, even_dof: int) -> float:
    """Return the probability of the interval by a finite sum, far quicker than ``t_between``.

    Args:
        low: its lower end.
        high: its upper end.
        even_dof: degrees of freedom, an even number of 2 or more.

    Source: Abramowitz & Stegun 26.7.4 (from memory). Absolute error 1e-15; the tails are not exact
    in their own size, as those of ``t_between`` are.
    """
    return 0.5 * (signed_within(high, even_dof) - signed_within(low, even_dof))


def signed_within(t: float, even_dof: int) -> float:
    """Return the probability of -t to t, with the sign of t. Args and Source: as ``t_within``."""
    square = 1.0 / (1.0 + t * t / even_dof)
    term, total = 1.0, 1.0
    for step in range(2, even_dof, 2):
        term *= square * (step - 1) / step
        total += term
    return total * t / math.sqrt(even_dof + t * t)


def t_density(t: float, dof: float) -> float:
    """Return the density of Student's t at ``t``. Args: as ``t_above``."""
    log_density = -log_beta(dof / 2.0, 0.5) - 0.5 * math.log(dof)
    return math.exp(log_density - (dof + 1.0) / 2.0 * log_of_one_plus(t * t / dof))


def t_quantile(probability: float, dof: float) -> float:
    """Return the t that is exceeded with probability 1 - ``probability``, by bisection.

    Args:
        probability: above 0.5 and below 1.
        dof: degrees of freedom, positive.

    Example: 0.975 with 10 degrees of freedom is 2.2281 (any table of t).
    """
    key = (probability, dof)
    if key in _known_quantiles:
        return _known_quantiles[key]
    wanted = 1.0 - probability
    low, high = 0.0, 1.0
    while t_above(high, dof) > wanted:
        low, high = high, 2.0 * high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if t_above(middle, dof) > wanted:
            low = middle
        else:
            high = middle
    if len(_known_quantiles) >= 64:
        _known_quantiles.clear()
    _known_quantiles[key] = high
    return high


def normal_above(z: float) -> float:
    """Return the probability that a standard normal value exceeds ``z``."""
    return 0.5 * math.erfc(z / math.sqrt(2.0))


def normal_between(low: float, high: float) -> float:
    """Return the normal probability of an interval, by whichever tails lose no digits."""
    if low > 0.0:
        return normal_above(low) - normal_above(high)
    if high < 0.0:
        return normal_above(-high) - normal_above(-low)
    return 1.0 - normal_above(-low) - normal_above(high)
