"""Opening the demo shop: catalogue, documents, people who sign in."""

from datetime import datetime

from django.contrib.auth import get_user_model

from jobs.demo import scenario
from jobs.demo.documents import demo_documents
from jobs.domain.actors import Actor
from jobs.domain.shop import ShopKind
from jobs.domain.stages import Role
from jobs.selectors import shop as shop_selector
from jobs.services import shop
from packing.plain import to_plain
from packing.services import FirstEntries, publish_first_revisions

HOLIDAY_COUNTRY, HOLIDAY_PART = "GB", "ENG"


def open_demo_shop(*, now: datetime) -> tuple[Actor, ...]:
    """Return the people of the shop as actors, owner first, after publishing what is not there yet."""
    publish_first_revisions(FirstEntries.DEMO, now=now)
    actors = tuple(_sign_up(member) for member in scenario.STAFF)
    documents = demo_documents(today=now.date())
    owner = actors[0]
    entries = [(ShopKind.SHOP, scenario.SHOP), (ShopKind.HOURS, documents.working_hours)]
    entries += [(ShopKind.PERSON, person) for person in documents.people]
    entries += [(ShopKind.WORK_CENTRE, centre) for centre in documents.centres]
    entries += [(ShopKind.ROUTE, route) for route in documents.routes]
    known = shop_selector.newest_revisions()
    for kind, entry in entries:
        if (kind.value, getattr(entry, "slug", kind.value)) in known:
            continue  # somebody who tries the demo may have changed or withdrawn it
        shop.publish_document(
            to_plain(entry), kind=kind, based_on=0, note="first revision", actor=owner, now=now
        )
    if not any(kind == ShopKind.CLOSED_DAY.value for kind, _slug in known):
        shop.seed_closed_days(
            country=HOLIDAY_COUNTRY,
            subdivision=HOLIDAY_PART,
            years=(now.year - 1, now.year, now.year + 1),
            actor=owner,
            now=now,
        )
    return actors


def _sign_up(member: scenario.StaffMember) -> Actor:
    people = get_user_model().objects
    user = people.filter(email=member.email).first() or people.create_user(
        member.email, scenario.DEMO_PASSWORD, name=member.name, role=member.role
    )
    return Actor(role=Role(member.role), name=member.name, user_id=user.pk)
