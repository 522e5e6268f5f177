"""The demo shop: invented people, places and words. Nothing here is real; the trade practice is."""

from dataclasses import dataclass
from random import Random

from jobs.domain.shop import ShopIdentity

SHOP = ShopIdentity(
    slug="shop",
    name="Quillfeather Fuel & Spark",
    strapline="Carburettors, magnetos and injection pumps, rebuilt by post",
    address_lines=("4 Ropewalk", "Saltmere", "SM1 4QF"),
    phone="01632 960 144",
    email="counter@quillfeather.example",
    hours_sentence="Monday to Thursday 8:00 to 17:00, Friday 8:00 to 13:00, Europe/London time",
    carrier_in="",
    carrier_back="",
    prices_include="Prices include VAT.",
)


@dataclass(frozen=True, slots=True)
class StaffMember:
    """Somebody who signs in to the demo."""

    name: str
    email: str
    role: str


STAFF = (
    StaffMember("Maren Quillfeather", "maren@quillfeather.example", "owner"),
    StaffMember("Tobin Ashgrove", "tobin@quillfeather.example", "workshop"),
    StaffMember("Wren Castlemoor", "wren@quillfeather.example", "workshop"),
)
DEMO_PASSWORD = "harbour-lantern-27"  # noqa: S105 - printed at every start of the demo

FIRST_NAMES = (
    "Ada", "Bram", "Celia", "Dunstan", "Edie", "Fergus", "Greta", "Hollis", "Ines", "Jory", "Keziah",
    "Lorcan", "Mabel", "Ned", "Orla", "Perrin", "Quentin", "Rhoda", "Silas", "Tamsin", "Ursula", "Vernon",
    "Winifred", "Yorick", "Zelda",
)  # fmt: skip
LAST_NAMES = (
    "Thornby", "Marlowe-Pike", "Copperwheat", "Dunnage", "Elverly", "Farrowmere", "Gadsby-Lunt", "Hawkridge",
    "Inskip", "Jessamy", "Kettlewell", "Larkspur", "Mossop", "Netherby", "Oakshott", "Penhallow",
    "Quarrington", "Ravensdale", "Stokoe", "Tregarrow", "Underhay", "Vellacott", "Wetherfold", "Yallop",
)  # fmt: skip
STREETS = ("Quay Lane", "Chandlery Row", "Mill Bank", "Orchard Rise", "Lockside", "Beacon Hill", "Forge Yard")
TOWNS = ("Saltmere", "Little Haddon", "Brackwater", "Upper Tarn", "Wexcombe", "Pallingham", "Stonequay")


def invent_address(dice: Random) -> dict[str, str]:
    """Return an address of this invented coast, and a telephone number that nobody has."""
    return {
        "phone": f"01632 960 {dice.randrange(200, 999)}",
        "address_lines": f"{dice.randrange(1, 90)} {dice.choice(STREETS)}\n{dice.choice(TOWNS)}",
        "postal_code": f"SM{dice.randrange(1, 30)} {dice.randrange(1, 10)}QF",
    }


FITTED_TO = {
    "carburettor": ("A wooden launch of 1958", "A farm tractor", "A sawbench engine", "A day boat of 1966"),
    "magneto": ("A single-cylinder stationary engine", "A four-cylinder farm tractor", "A workboat engine"),
    "distributor": ("A four-cylinder launch engine", "A six-cylinder boat engine", "A forklift"),
    "lift_pump": ("A narrow boat", "A combine harvester", "A generator set"),
    "injection_pump": ("A fishing boat", "A farm tractor", "A harbour crane"),
    "injector": ("A generator set", "A tug"),
    "throttle_body": ("A sports launch of 1991",),
    "sender": ("A day boat of 1966", "A cabin cruiser"),
}  # fmt: skip
OWN_WORDS = (
    "It ran when it was put away in the autumn, and now it will not.",
    "Runs for ten minutes and then dies as if the tap were shut.",
    "Bought with the boat; I do not know its history.",
    "My neighbour says it is worn out. I would like a second opinion from people who know.",
    "It leaks when the engine is stopped. We have a rally in spring.",
    "Starts cold, never starts warm.",
)
FINDINGS = {
    "fuel": (
        ("Spindle worn oval in the body", "throttle spindle and levers", 2),
        ("Flange out of true by 0.3 mm", "flange and base", 2),
        ("Fuel varnish in all passages", "body", 1),
        ("Float soaked, heavier than it should be", "bowl", 2),
        ("Earlier repair with the wrong jet", "body", 2),
    ),
    "spark": (
        ("Points burnt through on one side", "body", 2),
        ("Shaft bearing dry and rough", "body", 2),
        ("Track of carbon inside the cap", "cap and towers", 2),
    ),
    "pump": (
        ("Diaphragm hard and cracked", "body", 2),
        ("Seal leaks at the shaft", "body", 2),
        ("Rust in the housing from water in the fuel", "body", 2),
    ),
    "other": (
        ("Worn track, reading jumps", "body", 2),
        ("Terminal loose in its seat", "body", 1),
    ),
}
EXTRA_WORK = {
    "fuel": (
        ("Re-bush the spindle and fit a new spindle", 6400, 3),
        ("True the flange on the mill", 3800, 1),
        ("Make one new ear and braze it in", 9200, 4),
        ("New float and needle seat", 4100, 1),
    ),
    "spark": (
        ("New coil, wound outside", 14500, 8),
        ("New bearings for the shaft", 5200, 2),
        ("New cap and rotor arm", 4800, 2),
    ),
    "pump": (("New shaft seal and bush", 5600, 2), ("New diaphragm and valves", 3900, 1)),
    "other": (("New track and wiper", 4200, 3), ("New terminal and insulator", 1800, 1)),
}
PARTS = {
    "fuel": ("Gasket set", "Needle valve and seat", "O-ring set"),
    "spark": ("Condenser", "Contact points", "Rotor arm"),
    "pump": ("Diaphragm", "Shaft seal", "O-ring set"),
    "other": ("Gasket set", "O-ring set"),
}
TRADES = {
    "carburettor": "fuel",
    "magneto": "spark",
    "distributor": "spark",
    "lift_pump": "pump",
    "injection_pump": "pump",
}


def trade_of(family: str) -> str:
    """Return under which words the work on a family is told."""
    return TRADES.get(family, "other")
