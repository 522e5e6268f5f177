"""Which addresses does the site have, and who may open them?

One line mounts each audience behind its gate. `OPEN_TO_ALL` is the whole list of pages that need neither
a sign-in nor a private link; a test compares it with the resolver, both ways.
"""

from django.urls import path

from portal.shared.gates import CUSTOMER, OWNER, PUBLIC, WORKSHOP, behind, gated
from portal.shared.health import healthz, readyz

OPEN_TO_ALL = (
    "healthz",
    "readyz",
    "accounts:sign_in",
    "accounts:ask_link",
    "accounts:link_sent",
    "accounts:open_link",
    "customer:start",
    "customer:begin",
    "customer:unsuitable",
    "customer:book_family",
    "customer:book_number",
    "customer:book_model",
    "customer:book_fitted_to",
    "customer:book_symptoms",
    "customer:book_photos",
    "customer:book_photo_remove",
    "customer:book_photo",
    "customer:book_contact",
    "customer:book_wishes",
    "customer:book_wish_answer",
    "customer:book_limit",
    "customer:book_check",
    "customer:book_sent",
    "customer:book_later",
    "customer:book_later_sent",
    "customer:open_link",
    "customer:find",
    "customer:find_sent",
)

urlpatterns = [
    path("healthz", gated(healthz, audience=PUBLIC), name="healthz"),
    path("readyz", gated(readyz, audience=PUBLIC), name="readyz"),
    path("account/", behind(WORKSHOP, "portal.accounts.urls", open_to_all=OPEN_TO_ALL)),
    path("workshop/", behind(WORKSHOP, "portal.workshop.urls")),
    path("", behind(WORKSHOP, "portal.workshop.slip_urls")),
    path("owner/", behind(OWNER, "portal.owner.urls")),
    path("", behind(CUSTOMER, "portal.customer.urls", open_to_all=OPEN_TO_ALL)),
]

handler400 = "portal.shared.refusals.bad_request"
handler403 = "portal.shared.refusals.not_allowed"
handler404 = "portal.shared.refusals.not_found"
handler500 = "portal.shared.refusals.fault"
