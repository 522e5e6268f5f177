"""What is one margin: a figure against its limit, and the ratio at both ends of what is uncertain?"""

from dataclasses import dataclass

from packing.parcel.outcome import Force

MARGIN_MOST = 99.0


@dataclass(frozen=True, slots=True)
class Margin:
    """One rule: what it requires, what there is, their ratio, and the ratio at both ends of the band.

    `side` indexes FACES, -1 for none. `band_share` is the uncertainty that was applied.
    """

    slug: str
    ratio: float
    required: float
    actual: float
    unit: str
    force: Force = Force.MUST
    side: int = -1
    ratio_least: float = -1.0
    ratio_most: float = -1.0
    band_share: float = 0.0

    def __post_init__(self) -> None:
        """Set both ends to the ratio where no band was given."""
        if self.ratio_least < 0:
            object.__setattr__(self, "ratio_least", self.ratio)
        if self.ratio_most < 0:
            object.__setattr__(self, "ratio_most", self.ratio)


def at_most(
    slug: str,
    *,
    actual: float,
    most: float,
    unit: str,
    force: Force = Force.MUST,
    side: int = -1,
    band_share: float = 0.0,
) -> Margin:
    """Return the margin of a figure that may not exceed `most`; the band lies on the figure, 0 to 1 of it."""
    ratio = MARGIN_MOST if actual <= 0 else min(MARGIN_MOST, most / actual)
    least = ratio / (1 + band_share)
    best = min(MARGIN_MOST, ratio / (1 - band_share)) if band_share < 1 else MARGIN_MOST
    return Margin(slug, ratio, most, actual, unit, force, side, least, best, band_share)


def at_least(slug: str, *, actual: float, least: float, unit: str, side: int = -1) -> Margin:
    """Return the margin of a figure that has to reach `least`."""
    ratio = MARGIN_MOST if least <= 0 else min(MARGIN_MOST, max(0.0, actual) / least)
    return Margin(slug, ratio, least, actual, unit, Force.MUST, side)


def holds(margin: Margin) -> bool:
    """Tell whether a margin is kept at the bad end of its band, a hair of rounding allowed."""
    return margin.ratio_least >= 1 - 1e-6
