"""The people of the journeys."""

from tests.journeys.people import come_in, shop, sign_in

__all__ = ["come_in", "shop", "sign_in"]
