"""Which job is meant by what the scanner, or a person at the counter, typed into one field?

It reads and never writes. One job is opened; several are listed with the reason why each fits; a job number
whose check digit fails is never corrected in silence: the likely ones that exist are offered.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from django.db.models import Case, Q, QuerySet, Value, When
from django.db.models.functions import Length, Replace, Upper

from jobs.domain import job_number
from jobs.domain.job_number import JobNumberError
from jobs.domain.phone_number import EXTENSION_BEGINS, EXTENSION_SIGNS, looked_for_end
from jobs.domain.stages import ENDED, HoldKind, Stage
from jobs.models import Customer, Job
from jobs.selectors.listing import as_lines
from jobs.selectors.scan_reasons import compact_of, models_of_number, phone_of, reason_for
from jobs.selectors.unit_names import name_unit
from packing import selectors as catalogue
from packing.catalogue.schema import UnitModel
from packing.identify.normalise import UNREADABLE, normalise
from packing.selectors import Catalogue

HITS_MOST = 20
TEXT_MOST = 200
PHONE_END_LEAST = 4
NUMBER_LEAST = 4
PARCEL_END_LEAST = 6
NAME_LEAST = 2
_SCAN_ADDRESS = re.compile(r"/W/([0-9]{7})(?:[/?#]|$)", re.IGNORECASE)
PHONE_SIGNS = " -.()/+,;:"


class ScanOutcome(StrEnum):
    """What the page does with a scan."""

    NOTHING_TYPED = "nothing_typed"
    ONE = "one"
    SEVERAL = "several"
    MISREAD = "misread"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class ScanHit:
    """One job that may be meant, and why."""

    number: str
    unit_words: str
    customer_name: str
    stage: Stage
    hold: HoldKind | None
    since: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class ScanResult:
    """The jobs that fit what was typed, and a sentence for the person at the counter.

    `parcel_number`, `unit_number` and `sender` prefill the record of a box nobody announced.
    """

    text: str
    outcome: ScanOutcome
    hits: tuple[ScanHit, ...]
    sentence: str
    parcel_number: str = ""
    unit_number: str = ""
    sender: str = ""

    @property
    def only(self) -> ScanHit | None:
        """The one job that is opened at once."""
        return self.hits[0] if self.outcome is ScanOutcome.ONE else None


def find_by_scan(text: str) -> ScanResult:
    """Return the jobs meant by a slip, a job number, a parcel number, a person or a stamped number."""
    typed = clean(text)
    if not typed:
        return ScanResult("", ScanOutcome.NOTHING_TYPED, (), "Scan the slip, or type what is on the box.")
    address = _SCAN_ADDRESS.search(typed)
    if address:
        return _by_number(address.group(1), typed=typed)
    compact = job_number.compact_of(typed)
    if len(compact) == job_number.DIGITS and compact.isdecimal():
        found = _by_number(compact, typed=typed)
        # Seven digits may also be the end of a phone or a parcel number.
        others = found if found.outcome is ScanOutcome.ONE else _by_words(typed)
        return others if others.hits and found.outcome is ScanOutcome.NONE else found
    if len(compact) == job_number.DIGITS - 1 and compact.isdecimal():
        return _without_check_digit(compact, found=_by_words(typed))
    letters_read = _as_digits(typed)
    if letters_read is not None:
        return letters_read
    return _by_words(typed)


def clean(text: str) -> str:
    """Return what was typed without the control signs that a scanner puts before and after it."""
    printable = "".join(sign if sign.isprintable() else " " for sign in text[:TEXT_MOST])
    return " ".join(printable.split())


def _by_number(digits: str, *, typed: str) -> ScanResult:
    try:
        number = job_number.parse(digits)
    except JobNumberError as misread:
        hits = _hits(
            Job.objects.filter(number__in=misread.corrections),
            reason=lambda job: f"Job {job_number.show(job.number)} is one wrong digit, or one swap, away.",
        )
        return ScanResult(typed, ScanOutcome.MISREAD, hits, _misread_sentence(digits, hits))
    hits = _hits(Job.objects.filter(number=number), reason=lambda job: "The job number.")
    if hits:
        return ScanResult(typed, ScanOutcome.ONE, hits, "")
    sentence = f"{job_number.show(number)} reads well, but no job of this shop has that number."
    return ScanResult(typed, ScanOutcome.NONE, (), sentence)


def _without_check_digit(digits: str, *, found: ScanResult) -> ScanResult:
    """Return what six digits may mean: a job number short of its last digit, or the end of another number."""
    hits = _hits(
        Job.objects.filter(number__startswith=digits),
        reason=lambda job: f"Job {job_number.show(job.number)}, with its last digit.",
    )
    if not hits and found.hits:
        return found
    meant = f" It is likely {job_number.show(hits[0].number)}." if hits else ""
    sentence = (
        f"{digits[:3]} {digits[3:]} has six digits. A job number has seven: the last one, behind the dash, "
        f"is the check digit. Type all seven.{meant}"
    )
    outcome = ScanOutcome.MISREAD if hits else ScanOutcome.NONE
    others = tuple(hit for hit in found.hits if hit.number not in {each.number for each in hits})
    return replace(found, outcome=outcome, hits=(*hits, *others), sentence=sentence)


def _misread_sentence(digits: str, hits: tuple[ScanHit, ...]) -> str:
    shown = job_number.show(digits)
    if not hits:
        return (
            f"{shown} is not a job number: a digit is wrong or two are swapped, and no job of this shop "
            "lies one digit or one swap away. Compare it with the slip."
        )
    meant = " or ".join(job_number.show(hit.number) for hit in hits)
    return f"{shown} is not a job number: a digit is wrong or two are swapped. It is likely {meant}."


def _as_digits(typed: str) -> ScanResult | None:
    """Return what seven signs with letters among them may mean as a job number, if such a job exists."""
    try:
        job_number.parse(typed)
    except JobNumberError as misread:
        if len(job_number.compact_of(typed)) != job_number.DIGITS or not misread.corrections:
            return None
        hits = _hits(
            Job.objects.filter(number__in=misread.corrections),
            reason=lambda job: "The job number, with a letter read for a digit.",
        )
        return ScanResult(typed, ScanOutcome.MISREAD, hits, str(misread)) if hits else None
    return None


def _by_words(typed: str) -> ScanResult:
    models = models_of_number(typed)
    found = _wide_search(typed, models=models)
    hits = _hits(found, reason=lambda job: reason_for(job, typed=typed, models=models))
    parcel, unit, sender = _prefill(typed)
    if not hits:
        short = typed.isdigit() and len(typed) < PHONE_END_LEAST
        more = " Type four digits or more of a number." if short else ""
        sentence = f"Nothing here answers to “{typed}”.{more}"
        return ScanResult(typed, ScanOutcome.NONE, (), sentence, parcel, unit, sender)
    if len(hits) == 1:
        return ScanResult(typed, ScanOutcome.ONE, hits, hits[0].reason)
    sentence = f"{len(hits)} jobs answer to “{typed}”."
    count = found.count() if len(hits) == HITS_MOST else len(hits)
    if count > len(hits):
        sentence = (
            f"{count} jobs answer to “{typed}”. The {len(hits)} newest of {count} stand here, those still "
            "open first; type more to narrow it down."
        )
    return ScanResult(typed, ScanOutcome.SEVERAL, hits, sentence, parcel, unit, sender)


def search_jobs(text: str) -> QuerySet[Job]:
    """Return the jobs that answer to some words: a number, a parcel, a person or a stamped number."""
    typed = clean(text)
    try:
        return Job.objects.filter(number=job_number.parse(typed))
    except JobNumberError:
        return _wide_search(typed, models={})


def _of_models(models: Mapping[str, UnitModel]) -> Q:
    """Return the open jobs of these models, and those booked under any of their numbers."""
    numbers = {normalise(each.text).compact for model in models.values() for each in model.numbers}
    bare = Job.objects.alias(bare=_without(Upper("number_as_read"), signs=" -./"))
    unsettled = bare.filter(unit_model="", bare__in=sorted(numbers))
    asked = Q(unit_model__in=sorted(models)) | Q(pk__in=unsettled.values("pk"))
    return asked & ~Q(stage__in=[stage.value for stage in ENDED])


def _wide_search(typed: str, *, models: Mapping[str, UnitModel]) -> QuerySet[Job]:
    """Return the jobs that answer to one of the questions; each of them has an index of its own."""
    asked = _of_models(models) if models else Q(pk__in=[])
    for part in _questions(typed):
        asked |= part
    return Job.objects.filter(asked)


def _questions(typed: str) -> Iterator[Q]:
    compact = compact_of(typed)
    if "@" in typed:
        yield Q(customer__in=Customer.objects.filter(email__istartswith=typed))
        return
    if _may_be_parcel(compact):
        yield Q(pk__in=Job.objects.filter(tracking_in__endswith=compact).values("pk"))
        yield Q(pk__in=Job.objects.filter(tracking_out__endswith=compact).values("pk"))
        yield Q(pk__in=Job.objects.filter(parcel_seen=compact).values("pk"))
    phone = phone_of(typed)
    digits = "".join(sign for sign in phone if sign.isdigit())
    if len(digits) >= PHONE_END_LEAST:
        yield Q(customer__in=_phoned(looked_for_end(phone)))
    number = normalise(typed).compact
    has_digit = any(sign.isdigit() for sign in number)
    if len(number) >= NUMBER_LEAST and has_digit and UNREADABLE not in number:
        for column in ("number_as_read", "number_found"):
            # Most stamped numbers are shorter than a parcel number: those need not be stripped at all.
            long = Job.objects.alias(signs=Length(column)).filter(signs__gte=len(number))
            bare = long.alias(bare=_without(Upper(column), signs=" -./"))
            yield Q(pk__in=bare.filter(bare__contains=number).values("pk"))
    words = [] if phone else [word for word in typed.split() if any(sign.isalpha() for sign in word)]
    if words and len(typed) >= NAME_LEAST:
        person = Q()
        for word in words:
            person &= Q(name__icontains=word)
        yield Q(customer__in=Customer.objects.filter(person))


def _phoned(digits: str) -> QuerySet[Customer]:
    """Return the customers whose phone number ends with these digits, whatever extension stands behind it."""
    bare = Customer.objects.alias(bare=_without("phone", signs=PHONE_SIGNS))
    extended = Q()
    for sign in EXTENSION_SIGNS:
        extended |= Q(bare__icontains=sign)
    at_the_end = Q(bare__endswith=digits) & ~extended
    for sign in EXTENSION_BEGINS:
        at_the_end |= Q(bare__icontains=f"{digits}{sign}")
    return bare.filter(at_the_end)


def _may_be_parcel(compact: str) -> bool:
    return len(compact) >= PARCEL_END_LEAST and any(sign.isdigit() for sign in compact)


def _prefill(typed: str) -> tuple[str, str, str]:
    """Return (parcel number, number on the unit, sender), whichever the text looks like."""
    compact = compact_of(typed)
    digits = sum(sign.isdigit() for sign in compact)
    if digits == 0 or "@" in typed:
        return "", "", typed
    return (compact, "", "") if digits >= 8 else ("", typed, "")


def _hits(found: QuerySet[Job], *, reason: Callable[[Job], str]) -> tuple[ScanHit, ...]:
    ended = Q(stage__in=[stage.value for stage in ENDED])
    open_first = Case(When(ended, then=Value(1)), default=Value(0))
    jobs = list(as_lines(found).order_by(open_first, "-stage_since")[:HITS_MOST])
    published = catalogue.catalogue() if jobs else None
    if published is None:
        return ()
    return tuple(as_hit(job, published=published, reason=reason(job)) for job in jobs)


def as_hit(job: Job, *, published: Catalogue, reason: str) -> ScanHit:
    """Return one job as a line of the counter, with why it may be meant."""
    return ScanHit(
        number=job.number,
        unit_words=name_unit(job, published=published),
        customer_name=job.customer.name if job.customer else "",
        stage=Stage(job.stage),
        hold=HoldKind(job.hold) if job.hold else None,
        since=job.stage_since,
        reason=reason,
    )


def _without(field: str | Upper, *, signs: str) -> Replace:
    stripped: str | Upper | Replace = field
    for sign in signs:
        stripped = Replace(stripped, Value(sign), Value(""))
    return stripped  # type: ignore[return-value]  # there is at least one sign
