"""When is it back: what is a customer told, from before the box arrives until it has gone back?"""

from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.domain.stages import HoldKind
from jobs.selectors.customer_jobs import HoldSeen
from jobs.selectors.customer_when import DayRange, PromiseMove, Wait, WhenKnown, WhenState
from portal.customer.wording import REST_WORDS, day_words
from portal.templatetags.portal_format import day_range

W = WhenState

TITLES = {
    W.GONE: gettext_lazy("When it went back"),
    W.PACKED: gettext_lazy("It is ready to go back"),
}
LABELS = {
    W.FAMILY: gettext_lazy("As things stand today"),
    W.ANNOUNCED: gettext_lazy("As things stand today"),
    W.HERE: gettext_lazy("As things stand today"),
    W.PROMISED: gettext_lazy("Our promise"),
    W.STOPPED: gettext_lazy("Our promise, as it was when the clock stopped"),
    W.REFUSED: gettext_lazy("Our promise"),
}
NOT_PROMISED = gettext_lazy("It is not a promise yet: we promise a range once we have looked at the unit.")
CHANGES = {
    W.FAMILY: gettext_lazy("The day your box arrives, what is here before it, and what we find inside."),
    W.ANNOUNCED: gettext_lazy("The day your box arrives, and what we find inside."),
    W.HERE: gettext_lazy("What we find inside; parts; your answer, if we have to ask."),
}
PROMISE_CHANGES = gettext_lazy(
    "Your answer, if we have to ask; extra work you agree to; parts; an outside trade. If it moves we "
    "write to you, with the reason."
)
TESTED_CHANGES = gettext_lazy(
    "Only the second look, the payment where one is open, and the packing are still ahead."
)
SIGNED_OFF_CHANGES = gettext_lazy("Only the payment, where one is open, and the packing are still ahead.")
SAME = timedelta(days=1)
"""Two ranges as close as this tell a customer the same."""
WAITED = {
    HoldKind.ANSWER: gettext_lazy("for your answer"),
    HoldKind.PAYMENT: gettext_lazy("for the payment"),
}


@dataclass(frozen=True, slots=True)
class RangeWords:
    """One range as `_date_range.html` draws it."""

    label: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class MoveWords:
    """One move of the promise: what happened, and why."""

    words: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhenWords:
    """The part of the job page that says when it is back; empty texts are not drawn."""

    title: str
    said: tuple[str, ...]
    main: RangeWords | None
    other: RangeWords | None
    chance: str
    counted_from: str
    changes: str
    clock: tuple[str, ...]
    waited: str
    moves: tuple[MoveWords, ...]
    takes: tuple[str, ...]
    sooner: tuple[str, ...]
    rests_on: str


def when_words(known: WhenKnown, *, hold: HoldSeen | None) -> WhenWords | None:
    """Return what to say, None where nothing comes back."""
    if known.state is W.NONE:
        return None
    main = known.promised if known.state not in {W.GONE, W.PACKED} else None
    if main is None and known.state in {W.FAMILY, W.ANNOUNCED, W.HERE, W.STOPPED}:
        main = known.today
    label = LABELS.get(known.state, "") if known.promised or known.state is not W.STOPPED else LABELS[W.HERE]
    return WhenWords(
        title=str(TITLES.get(known.state, _("When it will be on its way back"))),
        said=_said(known, hold=hold),
        main=RangeWords(str(label), main.earliest_on, main.latest_on) if main else None,
        other=_other(known),
        chance=_chance(main) if main else "",
        counted_from=_counted_from(known) if main else "",
        changes=_changes(known),
        clock=_clock(known) if known.state is W.STOPPED else (),
        waited=_waited(known),
        moves=tuple(map(_move, known.moves)),
        takes=known.takes,
        sooner=known.sooner,
        rests_on=str(REST_WORDS[known.rests_on]) if known.takes else "",
    )


def _chance(days: DayRange) -> str:
    if days.earliest_on == days.latest_on:
        return _("8 in 10 units are on their way back by that day; the post to you comes on top.")
    return _("8 in 10 units are on their way back by the later day; the post to you comes on top.")


def _said(known: WhenKnown, *, hold: HoldSeen | None) -> tuple[str, ...]:
    match known.state:
        case W.GONE:
            return (*_gone(known), *_kept(known, on=known.packed_on))
        case W.PACKED if known.packed_on:
            packed = _("It was packed on %(day)s and goes to the carrier next.")
            return (packed % {"day": day_words(known.packed_on)}, *_kept(known, on=known.packed_on))
        case W.NO_DATE:
            return (_("There is no date yet: no range is worked out for it. Ask us, and we tell you."),)
        case W.REFUSED if known.promised:
            return (_("We cannot work out today's range at the moment; what we promised stands."),)
        case W.REFUSED:
            return (_("We cannot work out a range at the moment. Ask us, and we tell you what we know."),)
        case W.FAMILY | W.ANNOUNCED | W.HERE:
            return (str(NOT_PROMISED),)
        case W.PROMISED if hold is not None:
            return _held(known, hold=hold)
    return ()


def _gone(known: WhenKnown) -> tuple[str, ...]:
    if known.gone_on is None:
        return ()
    told = {"day": day_words(known.gone_on)}
    if known.packed_on is None or known.packed_on == known.gone_on:
        return (_("It was handed to the carrier on %(day)s.") % told,)
    told["packed"] = day_words(known.packed_on)
    return (_("It was handed to the carrier on %(day)s, after it was packed on %(packed)s.") % told,)


def _kept(known: WhenKnown, *, on: date | None) -> tuple[str, ...]:
    """Return how the last promise was kept by the day the unit was packed."""
    if known.promised is None or on is None:
        return ()
    promise = known.promised
    told = {"day": day_words(promise.said_on), "range": _range(promise)}
    if on < promise.earliest_on:
        return (_("That was before the range we promised on %(day)s: %(range)s.") % told,)
    if on <= promise.latest_on:
        return (_("That was within the range we promised on %(day)s: %(range)s.") % told,)
    late = (on - promise.latest_on).days
    words = ngettext(
        "That was %(late)d day after the range we promised on %(day)s: %(range)s.",
        "That was %(late)d days after the range we promised on %(day)s: %(range)s.",
        late,
    )
    return (words % (told | {"late": late}), _regret(known, late_days=late))


def _regret(known: WhenKnown, *, late_days: int) -> str:
    """Return a word about a promise that was not kept, with where its reason stands if one was noted."""
    if known.waited_days >= late_days:
        return _("The days for which we waited for you are among them.")
    if known.moves:
        return _("We did not keep our word, and we regret it. How it moved, and why, is below.")
    return _(
        "We did not keep our word, and we regret it. No reason was noted with it; ask us, and we look it up."
    )


def _held(known: WhenKnown, *, hold: HoldSeen) -> tuple[str, ...]:
    held = {
        HoldKind.PARTS: _("It waits for parts. That time counts on our side, and the range allows for it."),
        HoldKind.OUTSIDE: _(
            "It is with an outside trade. That time counts on our side, and the range allows for it."
        ),
    }.get(hold.kind)
    if held is None:
        return ()
    if known.hold_ends_on is None:
        return (held,)
    until = _("We expect to go on with it about %(day)s.")
    if known.hold_is_overdue:
        until = _(
            "We had expected to go on with it on %(day)s. That day is past, and we know no new one yet."
        )
    return (held, until % {"day": day_words(known.hold_ends_on)})


def _counted_from(known: WhenKnown) -> str:
    promised, today = known.promised, known.today
    if promised is not None:
        said = _("%(day)s, when we promised it, and the units that were here then.")
        return said % {"day": day_words(promised.said_on)}
    if today is None:
        return ""
    said_on = {"day": day_words(today.said_on)}
    if known.state in {W.FAMILY, W.ANNOUNCED} and known.expected_on is not None:
        return _road(known, told=said_on | {"expected": day_words(known.expected_on)})
    if known.arrived_on is None:
        return _("%(day)s: the units that are here now.") % said_on
    both = said_on | {"arrived": day_words(known.arrived_on)}
    return _("%(day)s: the units that are here now. Yours arrived on %(arrived)s.") % both


def _road(known: WhenKnown, *, told: dict[str, str]) -> str:
    """Return from which day of arrival a range is counted, and why that day may move or has moved."""
    counted = _("%(day)s: the units that are here now, and your box here by about %(expected)s.") % told
    if known.posted_on is None:
        return counted + " " + _("Posted sooner, it is back sooner; later, later.")
    posted = _("You posted it on %(posted)s; until then we could only guess the day, so the range moved.")
    return counted + " " + posted % {"posted": day_words(known.posted_on)}


def _changes(known: WhenKnown) -> str:
    if known.state in {W.GONE, W.PACKED, W.NO_DATE}:
        return ""
    if known.is_tested:
        return str(SIGNED_OFF_CHANGES if known.is_signed_off else TESTED_CHANGES)
    if known.promised is not None:
        return str(PROMISE_CHANGES)
    return str(CHANGES.get(known.state, CHANGES[W.HERE] if known.today else ""))


def _other(known: WhenKnown) -> RangeWords | None:
    """Return today's range beside a promise from which it has moved by more than a day."""
    promised, today = known.promised, known.today
    if known.state is not W.PROMISED or promised is None or today is None:
        return None
    first, last = today.earliest_on - promised.earliest_on, today.latest_on - promised.latest_on
    if max(abs(first), abs(last)) <= SAME:
        return None
    label = _("As things stand today, %(day)s") % {"day": day_words(today.said_on)}
    return RangeWords(label, today.earliest_on, today.latest_on)


def _clock(known: WhenKnown) -> tuple[str, ...]:
    wait = known.waits[-1]
    for_what = WAITED[wait.hold]
    since = ngettext(
        "We have waited %(what)s since %(day)s: %(days)d day so far.",
        "We have waited %(what)s since %(day)s: %(days)d days so far.",
        wait.days,
    )
    if wait.days == 0:
        since = _("We wait %(what)s since today, %(day)s.")
    told = {"what": for_what, "day": day_words(wait.began_on), "days": wait.days}
    after = {
        HoldKind.ANSWER: _("Once you answer we work the range out again, and write to you if it moves."),
        HoldKind.PAYMENT: _("Once it is here the unit goes to the carrier.")
        if known.is_signed_off
        else _("Once it is here we go on."),
    }[wait.hold]
    return (since % told, _("While we wait for you, the days do not count."), after)


def _waited(known: WhenKnown) -> str:
    """Return the waits that are over, by what was waited for."""
    over: list[Wait] = [wait for wait in known.waits if wait.ended_on is not None and wait.days]
    parts = []
    for hold, for_what in WAITED.items():
        days = sum(wait.days for wait in over if wait.hold is hold)
        if days:
            words = ngettext("%(days)d day %(what)s", "%(days)d days %(what)s", days)
            parts.append(words % {"days": days, "what": for_what})
    return _("%(parts)s. These days do not count.") % {"parts": _(" and ").join(parts)} if parts else ""


def _move(move: PromiseMove) -> MoveWords:
    later = move.later_days
    told = {"day": day_words(move.after.said_on), "before": _range(move.before), "days": abs(later)}
    if later > 0:
        words = ngettext(
            "%(day)s: %(days)d day later. Before, we had said %(before)s.",
            "%(day)s: %(days)d days later. Before, we had said %(before)s.",
            later,
        )
    elif later < 0:
        words = ngettext(
            "%(day)s: %(days)d day earlier. Before, we had said %(before)s.",
            "%(day)s: %(days)d days earlier. Before, we had said %(before)s.",
            -later,
        )
    else:
        words = _("%(day)s: the same last day. Before, we had said %(before)s.")
    return MoveWords(words % told, move.reasons or (_("No reason was noted with it; ask us."),))


def _range(days: DayRange) -> str:
    """Return a range inside a sentence."""
    return day_range(days.earliest_on, days.latest_on)
