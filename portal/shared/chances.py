"""How a chance is said to a person: in tenths, never as a bare decimal."""

from django.utils.translation import gettext as _

SURE_SHARE = 0.95
HARDLY_SHARE = 0.05


def chance_words(share: float) -> str:
    """Return a chance in words.

    >>> chance_words(0.72), chance_words(1.0), chance_words(0.0)
    ('in about 7 of 10 cases', 'almost surely', 'in hardly any case')
    """
    if share >= SURE_SHARE:
        return _("almost surely")
    if share <= HARDLY_SHARE:
        return _("in hardly any case")
    return _("in about %(count)d of 10 cases") % {"count": min(max(round(share * 10), 1), 9)}
