"""How good a forecast of a lead time was: proper scores, to be as small as possible.

Source: T. Gneiting and A. E. Raftery, "Strictly Proper Scoring Rules, Prediction, and Estimation", Journal of
the American Statistical Association 102 (2007) 359-378.
"""

import math
from collections.abc import Sequence

from jobs.leadtime.errors import ScoreRefused


def score_pinball(quantile: float, *, level: float, actual: float) -> float:
    """Return the pinball score of a quoted quantile, in the unit of the quote.

    (actual - q) level where the actual is above q, else (q - actual)(1 - level). Valid for 0 < level < 1.
    Raises: ScoreRefused.

    >>> score_pinball(10.0, level=0.8, actual=15.0)
    4.0
    """
    if not 0.0 < level < 1.0:
        raise ScoreRefused(f"The level is {level}: it has to lie between 0 and 1.")
    return max((actual - quantile) * level, (quantile - actual) * (1.0 - level))


def score_crps(sample: Sequence[float], *, actual: float) -> float:
    """Return the continuous ranked probability score of a simulated sample, in the unit of the sample.

    E|X - y| - E|X - X'| / 2 over the sample's empirical distribution.
    Raises: ScoreRefused for an empty sample.
    """
    if not sample:
        raise ScoreRefused("There is nothing to score: give at least one simulated value.")
    ordered, count = sorted(sample), len(sample)
    to_actual = math.fsum(abs(value - actual) for value in ordered) / count
    # Sum over all pairs of |x - x'| from the order statistics.
    spread = 2.0 * math.fsum((2 * at - count + 1) * value for at, value in enumerate(ordered)) / count**2
    return to_actual - spread / 2.0


def score_crps_normal(mean: float, *, sd: float, actual: float) -> float:
    """Return the continuous ranked probability score of a normal forecast, in its unit.

    sd (z (2 Phi(z) - 1) + 2 phi(z) - 1 / sqrt(pi)) with z = (actual - mean) / sd. Valid for sd > 0.
    Raises: ScoreRefused.
    """
    if sd <= 0.0:
        raise ScoreRefused(f"The standard deviation is {sd}: it has to be above 0.")
    z = (actual - mean) / sd
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return sd * (z * math.erf(z / math.sqrt(2.0)) + 2.0 * density - 1.0 / math.sqrt(math.pi))


def score_crps_quantiles(quantiles: Sequence[float], *, levels: Sequence[float], actual: float) -> float:
    """Return the continuous ranked probability score read from quoted quantiles: twice their mean pinball.

    Close for evenly spaced levels over 0 to 1; the tails beyond the outer levels are not scored.
    Raises: ScoreRefused.
    """
    if not levels or len(quantiles) != len(levels):
        raise ScoreRefused("Give one quantile for each level, and at least one.")
    pairs = zip(quantiles, levels, strict=True)
    return 2.0 * math.fsum(score_pinball(q, level=level, actual=actual) for q, level in pairs) / len(levels)
