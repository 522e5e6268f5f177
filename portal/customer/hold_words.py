"""Why does a unit not go on for now, and what ends it? What is asked for right below is not said twice."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext_lazy

from jobs.domain.stages import HoldKind, Stage
from jobs.selectors.customer_jobs import HoldSeen, JobSeen

READY = frozenset({Stage.SIGNED_OFF, Stage.PACKED})

HOLD_WORDS = {
    HoldKind.ANSWER: gettext_lazy("It waits for your answer"),
    HoldKind.PARTS: gettext_lazy("It waits for parts"),
    HoldKind.OUTSIDE: gettext_lazy("It is with an outside trade"),
    HoldKind.PAYMENT: gettext_lazy("It waits for the payment"),
}

HOLD_ENDS = {
    HoldKind.ANSWER: gettext_lazy(
        "We read your answer before it goes on; the days until you answer do not count."
    ),
    HoldKind.PARTS: gettext_lazy("It goes on when the parts are here. You need not do anything."),
    HoldKind.OUTSIDE: gettext_lazy("It goes on when it comes back from there. You need not do anything."),
    HoldKind.PAYMENT: gettext_lazy("It goes on as soon as the payment is here."),
}
SENT_WHEN_PAID = gettext_lazy("It is sent back as soon as the payment is here.")

THEN_WORDS = {
    HoldKind.ANSWER: gettext_lazy("After that it waits for another answer of yours."),
    HoldKind.PARTS: gettext_lazy("After that it still waits for parts."),
    HoldKind.OUTSIDE: gettext_lazy("After that it still waits for an outside trade."),
    HoldKind.PAYMENT: gettext_lazy("The payment is still open too: it is sent back once that is here."),
}


@dataclass(frozen=True, slots=True)
class HoldWords:
    """A hold as `_hold.html` draws it; `is_asked` says that the page asks for the answer right below."""

    words: str
    since: date | None
    note: str
    next_words: str
    is_asked: bool
    is_payment: bool


def hold_words(seen: JobSeen) -> HoldWords | None:
    """Return why the unit waits and what ends it; what is asked for right below is not said here too."""
    hold = seen.hold
    if hold is None:
        return None
    is_asked = hold.kind is HoldKind.ANSWER and bool(seen.asks_customer or seen.extra_work_open)
    ends = "" if is_asked else _ends(hold, stage=seen.stage)
    then = str(THEN_WORDS[hold.then]) if hold.then else ""
    return HoldWords(
        words=str(HOLD_WORDS[hold.kind]),
        since=hold.since,
        note="" if is_asked else _sentence(hold.reason, question=seen.state.question_open),
        next_words=f"{ends} {then}".strip(),
        is_asked=is_asked,
        is_payment=hold.kind is HoldKind.PAYMENT,
    )


def _ends(hold: HoldSeen, *, stage: Stage) -> str:
    if hold.kind is HoldKind.PAYMENT and stage in READY:
        return str(SENT_WHEN_PAID)
    return str(HOLD_ENDS[hold.kind])


def _sentence(reason: str, *, question: str) -> str:
    note = reason.strip() if reason != question else ""
    return f"{note}." if note and note[-1] not in ".?!" else note
