"""The figures behind a parcel plan: per check its margin with the band, formula, inputs and source."""

from dataclasses import dataclass
from itertools import chain

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from packing.catalogue.schema import Origin
from packing.parcel.drop import show_drop_height
from packing.parcel.figures import FALL
from packing.parcel.outcome import Check, Figure, Force, ParcelPlan
from packing.quantities import UnitChoice, show_mass, show_offset

MARGIN_MOST = 99.0
ORIGIN_WORDS = {
    Origin.PUBLISHED: gettext_lazy("published"),
    Origin.MEASURED: gettext_lazy("measured"),
    Origin.ESTIMATE: gettext_lazy("estimate"),
}
# What the plan itself lays down has neither been measured nor guessed.
LAID_DOWN = frozenset({"laid", "gap"})


@dataclass(frozen=True, slots=True)
class InputShown:
    """One number that went into a check with its unit, and where it comes from in words."""

    name: str
    amount: str
    origin_words: str


@dataclass(frozen=True, slots=True)
class CheckShown:
    """One row of the table; `band` is empty where nothing in it is uncertain."""

    sentence: str
    margin: str
    band: str
    holds: bool
    is_advice: bool
    is_limiting: bool
    formula: str
    inputs: tuple[InputShown, ...]
    origin: str
    source_numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FiguresShown:
    """The rows of the table, and each source they name by its number, once."""

    checks: tuple[CheckShown, ...]
    sources: tuple[str, ...]


def figures_shown(plan: ParcelPlan, *, units: UnitChoice) -> FiguresShown:
    """Return every check of the plan, what has to hold before what is advised, the tightest first.

    What has to hold decides, never advice: the row that says so is the rule with the least margin.
    """
    ordered = sorted(plan.checks, key=lambda check: (check.force is Force.ADVISED, check.margin_ratio_least))
    limiting = plan.limiting
    if limiting.force is Force.ADVISED:
        limiting = next((check for check in ordered if check.force is Force.MUST), limiting)
    named = [_sources_of(check) for check in ordered]
    numbers = {source: at for at, source in enumerate(dict.fromkeys(chain.from_iterable(named)), 1)}
    rows = (
        _row(check, limiting=limiting.slug, units=units, numbers=tuple(numbers[source] for source in sources))
        for check, sources in zip(ordered, named, strict=True)
    )
    return FiguresShown(tuple(rows), tuple(numbers))


def _sources_of(check: Check) -> tuple[str, ...]:
    """Return the sources that one check names, apart."""
    return tuple(dict.fromkeys(part.strip() for part in check.source.split("; ") if part.strip()))


def margin_words(margin_ratio: float) -> str:
    """Return a margin with two decimals, cut and not rounded, so that no miss reads as 1.

    >>> margin_words(0.999), margin_words(1.0 - 1e-9), margin_words(99.0)
    ('0.99', '1.00', '99 or more')
    """
    if margin_ratio >= MARGIN_MOST:
        return _("99 or more")
    return f"{int(margin_ratio * 100 + 1e-4) / 100:.2f}"


def band_words(check: Check) -> str:
    """Return the margin at both ends of the uncertainty, or nothing where both are the same."""
    least, most = margin_words(check.margin_ratio_least), margin_words(check.margin_ratio_most)
    return "" if least == most else _("%(least)s to %(most)s") % {"least": least, "most": most}


def middle_words(check: Check) -> str:
    """Return the margin by the middle of the estimates and at best, or nothing where nothing is uncertain."""
    if not band_words(check):
        return ""
    middle, best = margin_words(check.margin_ratio), margin_words(check.margin_ratio_most)
    return _("%(middle)s by the middle of the estimates, %(best)s at best") % {"middle": middle, "best": best}


def _row(check: Check, *, limiting: str, units: UnitChoice, numbers: tuple[int, ...]) -> CheckShown:
    return CheckShown(
        sentence=check.sentence,
        margin=margin_words(check.margin_ratio),
        band=band_words(check),
        holds=check.holds,
        is_advice=check.force is Force.ADVISED,
        is_limiting=check.slug == limiting,
        formula=check.formula,
        inputs=tuple(_input(each, units=units) for each in check.figures),
        origin=check.origin.value,
        source_numbers=numbers,
    )


def _input(figure: Figure, *, units: UnitChoice) -> InputShown:
    origin = _("by this plan") if figure.name in LAID_DOWN else str(ORIGIN_WORDS[figure.origin])
    return InputShown(figure.name, _amount(figure, units=units), origin)


def _amount(figure: Figure, *, units: UnitChoice) -> str:
    match figure.unit:
        case "mm" if figure.name == FALL:
            return show_drop_height(figure.value / 1000, choice=units)
        case "mm":
            return show_offset(figure.value, choice=units)
        case "kg" if figure.value >= 0:
            return show_mass(figure.value, choice=units)
        case _:
            return f"{_number(figure.value)} {figure.unit}"


def _number(value: float) -> str:
    """Return three figures that count, never in powers of ten.

    >>> [_number(each) for each in (0.0181818, 2.0625, 63.68, 1342.3, 0.0)]
    ['0.0182', '2.06', '63.7', '1342', '0']
    """
    if abs(value) >= 1000:
        return f"{value:.0f}"
    text = f"{value:.3g}"
    return text if "e" not in text else f"{value:.6f}"
