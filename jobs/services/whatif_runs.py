"""Comparing the shop with a changed one: asked for on a page, worked out by the worker, kept for a week.

Any number of people may ask at once; each has a row of their own, worked off in the order of asking. A row
whose worker died is taken up again once, then given up with a sentence.
"""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from time import monotonic
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F, Q

from jobs.domain.actors import Actor
from jobs.leadtime.change_documents import read_changes, write_changes
from jobs.leadtime.changes import Change
from jobs.leadtime.errors import ChangeRefused, LeadTimeError
from jobs.leadtime.whatif import compare_change
from jobs.models import ForecastRun, WhatIfRun
from jobs.selectors import shop_state
from jobs.selectors.comparisons import MOST_CHANGES, OPEN_STATES
from jobs.selectors.quotes import levels_in_force
from packing.errors import PackingError
from packing.plain import to_plain

logger = logging.getLogger(__name__)
REPLICATIONS = 300  # as many as the dates stand on: “before” is what the other pages say
MOST_OPEN = 20
MOST_TRIES = 2
LEASE = timedelta(minutes=5)
KEPT_FOR = timedelta(days=7)
FORGOTTEN_AFTER = timedelta(days=60)
STOPPED = "The work on this comparison was stopped twice before it was done: ask for it again."
FAULT = "This comparison met a fault, which is in the log: ask for it again, or leave one change out."


class _Cancelled(Exception):
    """The row was cancelled, or given to another worker, while it was worked on."""


def ask_comparison(
    changes: Sequence[Change], *, words: Sequence[str], reference: UUID, actor: Actor, now: datetime
) -> WhatIfRun:
    """Return the comparison asked for, each change with its words; the same reference returns the same one.

    Raises: ChangeRefused for none, too many, or while too many wait.
    """
    if not 1 <= len(changes) <= MOST_CHANGES:
        raise ChangeRefused(f"Choose one change, or {MOST_CHANGES} to try them together.")
    asked = WhatIfRun.objects.filter(reference=reference).first()
    if asked is not None:
        return asked
    if WhatIfRun.objects.filter(state__in=OPEN_STATES).count() >= MOST_OPEN:
        raise ChangeRefused(f"{MOST_OPEN} comparisons are waiting already: come back when some are done.")
    written = [row | {"words": said} for row, said in zip(write_changes(changes), words, strict=True)]
    try:
        with transaction.atomic(durable=True):
            return WhatIfRun.objects.create(
                reference=reference, changes=written, asked_by=actor.name, asked_at=now
            )
    except IntegrityError:
        return WhatIfRun.objects.get(reference=reference)


def cancel_comparison(reference: UUID, *, actor: Actor, now: datetime) -> bool:
    """Return whether the comparison was stopped; one that is done stays done."""
    stopped = WhatIfRun.objects.filter(reference=reference, state__in=OPEN_STATES).update(
        state="cancelled", finished_at=now, lease_until=None, refusal=f"Cancelled by {actor.name}."
    )
    return bool(stopped)


def work_next(*, now: datetime, stopwatch: Callable[[], float] = monotonic) -> bool:
    """Work out the comparison that was asked for first; say whether there was one.

    The lease is renewed whenever progress is told, by the seconds of `stopwatch` since `now`, so a
    comparison that takes long stays with its worker as long as that worker lives.
    """
    _give_up_stopped(now=now)
    run = _claim(now=now)
    if run is None:
        return False
    began_s = stopwatch()
    mine = WhatIfRun.objects.filter(pk=run.pk, state="running", tries=run.tries)

    def tell(share: float) -> None:
        lease_until = now + timedelta(seconds=stopwatch() - began_s) + LEASE
        if not mine.update(progress_share=round(share, 2), lease_until=lease_until):
            raise _Cancelled

    levels = levels_in_force(ForecastRun.objects.order_by("-computed_at").first())
    try:
        found = compare_change(
            shop_state.shop_state(now=now),
            changes=read_changes(run.changes),
            now=now,
            promises=shop_state.promised_days(),
            replications=REPLICATIONS,
            levels=levels.shop,
            family_levels=levels.families,
            on_progress=tell,
        )
    except _Cancelled:
        return True
    except (LeadTimeError, PackingError) as refusal:
        mine.update(state="refused", refusal=str(refusal)[:600], finished_at=now, lease_until=None)
    except Exception:
        logger.exception("comparison %s failed", run.pk)
        mine.update(state="failed", refusal=FAULT, finished_at=now, lease_until=None)
    else:
        mine.update(
            state="done", result=to_plain(found), progress_share=1.0, finished_at=now, lease_until=None
        )
    return True


def expire_old(*, now: datetime) -> int:
    """Return how many results were let go: the shop they compared is a week gone."""
    finished = WhatIfRun.objects.exclude(state__in=(*OPEN_STATES, "expired"))
    count = finished.filter(finished_at__lt=now - KEPT_FOR).update(state="expired", result={})
    WhatIfRun.objects.filter(state="expired", asked_at__lt=now - FORGOTTEN_AFTER).delete()
    return count


def _claim(*, now: datetime) -> WhatIfRun | None:
    """Return the first due row, which is now this worker's for the length of the lease."""
    due = Q(state="waiting") | Q(state="running", lease_until__lte=now, tries__lt=MOST_TRIES)
    for pk in WhatIfRun.objects.filter(due).order_by("asked_at", "pk").values_list("pk", flat=True)[:5]:
        claimed = WhatIfRun.objects.filter(due, pk=pk).update(
            state="running",
            started_at=now,
            lease_until=now + LEASE,
            progress_share=0.0,
            tries=F("tries") + 1,
        )
        if claimed:
            return WhatIfRun.objects.get(pk=pk)
    return None


def _give_up_stopped(*, now: datetime) -> None:
    WhatIfRun.objects.filter(state="running", lease_until__lte=now, tries__gte=MOST_TRIES).update(
        state="failed", refusal=STOPPED, finished_at=now, lease_until=None
    )
