"""What should this person start next, and whose promise does that save? Words for stored results."""

from collections.abc import Collection
from dataclasses import dataclass

from django.utils.translation import gettext as _

from jobs.domain.stages import Stage
from jobs.leadtime.starts import StartGain
from jobs.leadtime.words import working_days_in_words
from jobs.selectors.outlook import Stakes
from jobs.selectors.queue import CentreQueue, JobLine, ShopQueue
from portal.shared.chances import SURE_SHARE, chance_words
from portal.templatetags.portal_format import job_number

EACH_CENTRE = 2
NOTICED_DAYS = 0.75


@dataclass(frozen=True, slots=True)
class StartLine:
    """One job to start: where, and what hangs on it."""

    line: JobLine
    centre_name: str
    stake: str
    gain: str
    cost: str


@dataclass(frozen=True, slots=True)
class Starts:
    """The next jobs of the signed-in person's benches, or of all where no bench names that person."""

    lines: tuple[StartLine, ...]
    is_own: bool


def starts_for(
    name: str, *, queue: ShopQueue, stakes: Stakes, not_for: Collection[str] = frozenset()
) -> Starts:
    """Return the next two jobs of each bench that names this person, and any start that saves a promise.

    The jobs whose numbers are in `not_for` are left to somebody else.
    """
    own = [centre for centre in queue.centres if name in centre.people]
    centres = own or list(queue.centres)
    lines = [each for centre in centres for each in _of_centre(centre, stakes=stakes, not_for=not_for)]
    return Starts(tuple(lines), bool(own))


def _of_centre(centre: CentreQueue, *, stakes: Stakes, not_for: Collection[str]) -> list[StartLine]:
    waiting = [line for line in centre.lines if not line.working and line.number not in not_for]
    found = []
    for place, line in enumerate(waiting):
        gain = stakes.gains.get(line.number)
        if place < EACH_CENTRE or (gain is not None and gain.saves):
            found.append(
                StartLine(
                    line,
                    centre.name,
                    _stake(line, kept_share=stakes.chances.of(line.number, promised_on=line.promise_end)),
                    _gain(gain) if gain else "",
                    _cost(gain) if gain else "",
                )
            )
    return found


def _stake(line: JobLine, *, kept_share: float | None) -> str:
    if line.promise_end is None:
        return _no_promise(line)
    if kept_share is None:
        return ""
    if kept_share >= SURE_SHARE:
        return _("As things stand its promise is almost surely kept.")
    return _("As things stand its promise is kept %(chance)s.") % {"chance": chance_words(kept_share)}


def _no_promise(line: JobLine) -> str:
    if line.stage is Stage.SIGNED_OFF:
        return _("The work is done and no date was promised: pack it when you can.")
    if line.stage is Stage.PACKED:
        return _("It is packed and no date was promised: it goes to the carrier next.")
    return _("No date is promised yet.")


def _gain(gain: StartGain) -> str:
    days = working_days_in_words(gain.earlier_days)
    if gain.saves and chance_words(gain.own.after_share) != chance_words(gain.own.before_share):
        return _("Started next: kept %(chance)s, and done %(days)s earlier.") % {
            "chance": chance_words(gain.own.after_share),
            "days": days,
        }
    if gain.earlier_days >= NOTICED_DAYS:
        return _("Started next it is done %(days)s earlier; its promise is hardly touched.") % {"days": days}
    return _("Starting it before the others changes little.")


def _cost(gain: StartGain) -> str:
    losing = [move for move in gain.others if move.after_share < move.before_share]
    # A change that is told in the same words is none to whoever reads them.
    losing = [m for m in losing if chance_words(m.after_share) != chance_words(m.before_share)]
    if not losing:
        return ""
    worst = losing[0]
    return _("It costs job %(number)s: kept %(after)s instead of %(before)s.") % {
        "number": job_number(worst.job_number),
        "after": chance_words(worst.after_share),
        "before": chance_words(worst.before_share),
    }
