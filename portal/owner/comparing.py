"""How is a comparison said: who gains, who loses, what becomes of promises, and how far the work has come?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t
from django.utils.translation import ngettext

from jobs.leadtime.whatif import Comparison, Effect
from jobs.selectors.comparisons import Compared, SeenRun
from portal.owner.navigation import job_url
from portal.shared.chances import chance_words

LEAST_PROMISE_MOVE = 0.05
SLOW_AFTER = timedelta(minutes=1)
STATE_WORDS = {
    "waiting": _t("waiting for the worker"),
    "running": _t("being worked out"),
    "done": _t("done"),
    "refused": _t("cannot be worked out"),
    "failed": _t("stopped by a fault"),
    "cancelled": _t("cancelled"),
    "expired": _t("no longer kept"),
}


@dataclass(frozen=True, slots=True)
class ComparedLine:
    """One row of a table: dates before and after, how far they move, the promise, and why."""

    seen: Compared
    url: str
    moved: str
    promise: str
    is_worse: bool

    @property
    def row(self) -> Comparison:
        """The dates."""
        return self.seen.row


@dataclass(frozen=True, slots=True)
class PromiseTotals:
    """How many of the promises are expected to be kept, before and after."""

    count: int
    kept_before: str
    kept_after: str


@dataclass(frozen=True, slots=True)
class Told:
    """A comparison in words and rows."""

    headline: str
    earlier: tuple[ComparedLine, ...]
    later: tuple[ComparedLine, ...]
    same_count: int
    newcomers: tuple[ComparedLine, ...]
    promises: PromiseTotals

    @property
    def earlier_count(self) -> int:
        """How many jobs gain."""
        return len(self.earlier)

    @property
    def later_count(self) -> int:
        """How many jobs lose."""
        return len(self.later)


def tell(run: SeenRun) -> Told:
    """Return the rows of a comparison, those that move most first."""
    lines = sorted((_line(each) for each in run.jobs), key=lambda line: line.row.moved_days)
    earlier = tuple(line for line in lines if line.row.effect is Effect.EARLIER)
    later = tuple(reversed([line for line in lines if line.row.effect is Effect.LATER]))
    newcomers = tuple(_line(each) for each in run.newcomers)
    return Told(
        _headline(earlier, later, newcomers),
        earlier,
        later,
        len(lines) - len(earlier) - len(later),
        newcomers,
        _totals(run.jobs),
    )


def _line(seen: Compared) -> ComparedLine:
    row = seen.row
    promise, is_worse = _promise_words(row)
    return ComparedLine(
        seen,
        job_url(row.job_number) if row.job_number else "",
        moved_words(row.moved_days),
        promise,
        is_worse,
    )


def moved_words(days: float) -> str:
    """Return how far dates move, in calendar days."""
    whole = max(round(abs(days)), 1)
    if abs(days) < 0.5:
        return _("the same")
    if days < 0:
        return ngettext("%(days)d day earlier", "%(days)d days earlier", whole) % {"days": whole}
    return ngettext("%(days)d day later", "%(days)d days later", whole) % {"days": whole}


def _promise_words(row: Comparison) -> tuple[str, bool]:
    if row.promise is None:
        return _("no date promised"), False
    before, after = row.promise.before_share, row.promise.after_share
    if abs(after - before) < LEAST_PROMISE_MOVE:
        return _("kept %(chance)s, as before") % {"chance": chance_words(after)}, False
    words = {"before": chance_words(before), "after": chance_words(after)}
    if words["before"] == words["after"]:
        return _("kept %(chance)s, as before") % {"chance": words["after"]}, False
    return _("kept %(after)s, was %(before)s") % words, after < before


def _totals(jobs: Sequence[Compared]) -> PromiseTotals:
    moves = [each.row.promise for each in jobs if each.row.promise is not None]
    return PromiseTotals(
        len(moves),
        f"{sum(move.before_share for move in moves):.1f}",
        f"{sum(move.after_share for move in moves):.1f}",
    )


def _headline(
    earlier: Sequence[ComparedLine], later: Sequence[ComparedLine], newcomers: Sequence[ComparedLine]
) -> str:
    said = []
    if earlier:
        said.append(
            ngettext("%(count)d job goes back earlier.", "%(count)d jobs go back earlier.", len(earlier))
            % {"count": len(earlier)}
        )
    if later:
        said.append(
            ngettext("%(count)d job goes back later.", "%(count)d jobs go back later.", len(later))
            % {"count": len(later)}
        )
    for effect, words in (
        (Effect.EARLIER, _("Units that arrive today gain: %(names)s.")),
        (Effect.LATER, _("Units that arrive today lose: %(names)s.")),
    ):
        names = [line.seen.name for line in newcomers if line.row.effect is effect]
        if names:
            said.append(words % {"names": ", ".join(names)})
    return " ".join(said) or _("Nobody's dates move by more than half a day.")


def state_words(run: SeenRun) -> str:
    """Return how far a comparison is."""
    return str(STATE_WORDS.get(run.state, run.state))


def is_slow(run: SeenRun, *, now: datetime) -> bool:
    """Say whether it has waited longer than a worker needs to begin it, behind those asked for before."""
    return run.state == "waiting" and now - run.asked_at > SLOW_AFTER * (run.before_it + 1)
