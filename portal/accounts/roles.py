"""Which two kinds of people does the shop have?"""

from enum import StrEnum

from django.utils.translation import gettext_lazy as _t


class Role(StrEnum):
    """What a person of the shop may open: the owner may open the workshop's pages too."""

    WORKSHOP = "workshop"
    OWNER = "owner"


ROLE_LABELS = {Role.WORKSHOP: _t("Workshop"), Role.OWNER: _t("Owner")}
