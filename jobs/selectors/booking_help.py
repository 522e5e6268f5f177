"""What helps somebody to book: families with price and range, candidates for a number, shots, the wish."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from uuid import UUID

from jobs.domain.booking import BookingAnswers
from jobs.domain.stages import Stage
from jobs.models import Booking, FamilyForecast, Photo
from jobs.selectors import shop
from jobs.selectors.outlook import day_on_arrival, is_out_of_date
from jobs.selectors.parcels import needs_draining
from jobs.selectors.refusals import last_refusal
from jobs.selectors.shop_state import expected_at
from jobs.selectors.shots import shots_of
from packing import selectors as catalogue
from packing.catalogue.schema import Family, NumberKind, Shot, TraitQuestion, UnitModel
from packing.identify.match import Decision, Identification, identify
from packing.identify.questions import answers_against, best_question

POST_DAYS_UNKNOWN_CARRIER = 5
CHOICES_MOST = 40


@dataclass(frozen=True, slots=True)
class LeadRange:
    """When a unit of one family that is here today would be on its way back."""

    earliest_on: date
    likely_on: date
    latest_on: date
    computed_on: date
    rests_on: str


class LeadKnown(StrEnum):
    """Whether there is a range to be told for a family today."""

    TODAY = "today"
    NOT_YET = "not_yet"
    OUT_OF_DATE = "out_of_date"


@dataclass(frozen=True, slots=True)
class FamilyOffer:
    """One family as the start page offers it; prices are None while the catalogue names none.

    There is no `lead` where none was worked out yet, and none where the last one no longer holds.
    """

    slug: str
    name: str
    plural: str
    price_from_pence: int | None
    price_to_pence: int | None
    lead: LeadRange | None
    known: LeadKnown


class WishVerdict(StrEnum):
    """How a wished date stands against today's range."""

    FITS = "fits"
    TIGHT = "tight"
    TOO_SOON = "too_soon"
    UNKNOWN = "unknown"
    NOT_NOW = "not_now"


@dataclass(frozen=True, slots=True)
class WishAnswer:
    """The honest answer to a wished date: the days on which the unit would be home, and the verdict.

    `there_days` run until the box is at the shop: the shop's yes, the airing of a unit that `airs`, the post.
    """

    verdict: WishVerdict
    wished_on: date
    home_earliest_on: date | None
    home_latest_on: date | None
    there_days: int
    back_days: int
    airs: bool


@dataclass(frozen=True, slots=True)
class ModelHelp:
    """What the page about the unit model needs: what was read, what it may be, and what to ask next.

    `elsewhere` names the family of each candidate, by slug, that is of another one than the customer said.
    """

    identification: Identification | None
    question: TraitQuestion | None
    candidates: tuple[tuple[UnitModel, str], ...]
    others: tuple[UnitModel, ...]
    elsewhere: Mapping[str, str] = field(default_factory=dict)

    @property
    def proposes(self) -> bool:
        """Whether one model is proposed."""
        return self.identification is not None and self.identification.decision is Decision.PROPOSE

    def known(self, slug: str) -> UnitModel | None:
        """Return the model of that slug if the page offered it."""
        offered = (*(model for model, _ in self.candidates), *self.others)
        return next((model for model in offered if model.slug == slug), None)

    def reason(self, slug: str) -> str:
        """Return why that model fits, or nothing when it was picked from the list."""
        return next((why for model, why in self.candidates if model.slug == slug), "")


def family_offers(*, now: datetime) -> tuple[FamilyOffer, ...]:
    """Return every published family with its price span and today's range.

    No range is today's that was worked out days ago, or before a run that could work nothing out.
    """
    published = catalogue.catalogue()
    rows = {row.family: row for row in FamilyForecast.objects.all()}
    refused = bool(last_refusal())
    return tuple(
        _offer(
            family,
            models=published.unit_models,
            row=(row := rows.get(slug)),
            is_old=refused or (row is not None and is_out_of_date(row.computed_at, now=now)),
        )
        for slug, family in published.families.items()
    )


def family_offer(slug: str, *, now: datetime) -> FamilyOffer | None:
    """Return one family as it is offered now, or None when it is not published."""
    return next((offer for offer in family_offers(now=now) if offer.slug == slug), None)


def families() -> Mapping[str, Family]:
    """Return the published families by slug."""
    return catalogue.catalogue().families


def unit_model(slug: str) -> UnitModel | None:
    """Return a published unit model."""
    return catalogue.catalogue().unit_models.get(slug)


def model_help(answers: BookingAnswers) -> ModelHelp:
    """Return the candidates for the number as read; without a number, what the answered questions leave."""
    published = catalogue.catalogue()
    family = published.families.get(answers.family)
    questions = family.questions if family else ()
    traits = dict(answers.traits or {})
    of_family = [model for model in published.unit_models.values() if model.family == answers.family]
    if not answers.number_as_read:
        left = [model for model in of_family if not answers_against(model, traits=traits)]
        question = best_question(left, questions=questions, answered=traits) if len(left) > 1 else None
        return ModelHelp(None, question, (), tuple(left[:CHOICES_MOST]))
    found = identify(
        answers.number_as_read,
        models=tuple(published.unit_models.values()),
        traits=traits,
        kind=NumberKind(answers.number_kind) if answers.number_kind else None,
        questions=questions,
    )
    candidates = tuple(
        (published.unit_models[each.model], " ".join((each.reason, *map(_against, each.against))))
        for each in found.candidates
    )
    named = {model.slug for model, _ in candidates}
    others = tuple(model for model in of_family if model.slug not in named)
    # Beside a proposal the whole list would only invite a wrong choice.
    others = () if found.decision is Decision.PROPOSE else others[:CHOICES_MOST]
    elsewhere = {
        model.slug: published.families[model.family].name
        for model, _ in candidates
        if model.family != answers.family
    }
    return ModelHelp(found, found.question, candidates, others, elsewhere)


def wanted_shots(answers: BookingAnswers) -> tuple[Shot, ...]:
    """Return the named photos the shop wants of the unit that is being booked."""
    return shots_of(answers.family, unit_model=answers.unit_model)


def booking_photos(booking: Booking) -> tuple[Photo, ...]:
    """Return the photos of a booking that were not withdrawn, in the order they came."""
    return tuple(
        Photo.objects.filter(booking=booking, withdrawn_at__isnull=True).order_by("uploaded_at", "pk")
    )


def booking_photo(booking: Booking, *, reference: UUID) -> Photo | None:
    """Return one photo of this booking."""
    return Photo.objects.filter(booking=booking, reference=reference, withdrawn_at__isnull=True).first()


def photo_ever_added(booking: Booking, *, reference: UUID) -> Photo | None:
    """Return one photo of this booking, also one that was taken off already."""
    return Photo.objects.filter(booking=booking, reference=reference).first()


def judge_wish(answers: BookingAnswers, *, now: datetime) -> WishAnswer | None:
    """Return how the wished date stands, counted from the day the box should be here to the day it is home.

    Too soon means before the earliest day, tight before the latest; None when no date was wished.
    """
    if answers.wished_on is None:
        return None
    return judge_wished_day(answers.wished_on, family=answers.family, now=now)


def judge_wished_day(wished_on: date, *, family: str, now: datetime) -> WishAnswer:
    """Return how a day wished for a unit of `family` stands, if the shop said yes today."""
    today = now.astimezone(shop.zone()).date()
    offer = family_offer(family, now=now)
    there_days, back_days = _days_there(family, now=now), _post_days(shop.identity().carrier_back)
    airs = needs_airing(family)
    if offer is None or offer.lead is None:
        is_old = offer is not None and offer.known is LeadKnown.OUT_OF_DATE
        verdict = WishVerdict.NOT_NOW if is_old else WishVerdict.UNKNOWN
        return WishAnswer(verdict, wished_on, None, None, there_days, back_days, airs)
    arrives_on = today + timedelta(days=there_days)
    on_arrival = day_on_arrival(family, arrives_on=arrives_on, now=now)
    if on_arrival is not None:
        earliest_on, latest_on = on_arrival.low, on_arrival.high
    else:
        # A range computed some days ago still says how long it takes, not on which day it is over.
        later = arrives_on - offer.lead.computed_on
        earliest_on, latest_on = (
            shop.open_day(day + later) for day in (offer.lead.earliest_on, offer.lead.latest_on)
        )
    road_home = timedelta(days=back_days)
    home_earliest_on, home_latest_on = earliest_on + road_home, latest_on + road_home
    verdict = WishVerdict.FITS
    if wished_on < home_earliest_on:
        verdict = WishVerdict.TOO_SOON
    elif wished_on < home_latest_on:
        verdict = WishVerdict.TIGHT
    return WishAnswer(verdict, wished_on, home_earliest_on, home_latest_on, there_days, back_days, airs)


def needs_airing(family: str) -> bool:
    """Return whether a unit of the family is drained and aired before posting; of no known family it is."""
    return needs_draining(catalogue.catalogue().families.get(family))


def _days_there(family: str, *, now: datetime) -> int:
    """Return the days until a unit booked now is at the shop, as ranges told before it comes count them.

    Where airing and the carrier need longer than that, so long; an estimate.
    """
    known = catalogue.catalogue().families.get(family)
    airing_days = math.ceil(known.air_hours / 24) if known else 2
    usual = expected_at(Stage.BOOKED, since=now, now=now) - now
    return max(usual.days, airing_days + _post_days(shop.identity().carrier_in))


def _post_days(slug: str) -> int:
    carrier = catalogue.catalogue().carriers.get(slug)
    return carrier.days_most if carrier else POST_DAYS_UNKNOWN_CARRIER


def _against(sentence: str) -> str:
    return f"But {sentence}."


def _offer(
    family: Family, *, models: Mapping[str, UnitModel], row: FamilyForecast | None, is_old: bool
) -> FamilyOffer:
    lead = None if row is None or is_old else _lead(row)
    missing = LeadKnown.OUT_OF_DATE if is_old else LeadKnown.NOT_YET
    priced = [model for model in models.values() if model.family == family.slug and model.price_from_pence]
    return FamilyOffer(
        slug=family.slug,
        name=family.name,
        plural=family.plural,
        price_from_pence=min((model.price_from_pence for model in priced), default=None),
        price_to_pence=max(
            (max(model.price_to_pence, model.price_from_pence) for model in priced), default=None
        ),
        lead=lead,
        known=missing if lead is None else LeadKnown.TODAY,
    )


def _lead(row: FamilyForecast) -> LeadRange:
    return LeadRange(
        earliest_on=row.earliest_on,
        likely_on=row.likely_on,
        latest_on=row.latest_on,
        computed_on=row.computed_at.astimezone(shop.zone()).date(),
        rests_on=row.based_on,
    )
