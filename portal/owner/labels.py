"""What is each field of a document called on a page, and what does its owner need to know to fill it in?

One line per field: its label and, where it helps, a hint. A name that stands alone holds for every document;
`ClassName.name` holds for one. A field without a line is named by its own name in words, with its unit.
"""

from enum import Enum

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t

from jobs.domain.stages import HOLD_LABELS, HoldKind
from packing.catalogue.fields import FieldShape, Measure

# fmt: off
LABELS: dict[str, tuple[object, object]] = {
    # everywhere
    "slug": (_t("Short name"), _t("Left empty, it is made from the name.")),
    "name": (_t("Name"), ""),
    "note": (_t("Note"), ""),
    "source": (_t("Where the figures come from"), ""),
    "Source.text": (_t("Source"),
        _t("So that somebody else can look it up: who measured it, or which table.")),
    "origin": (_t("Kind of source"), ""),
    "Surcharge.source": (_t("Source"), ""),
    "read_on": (_t("Read on"), _t("The day on which a published figure was read.")),
    # family
    "plural": (_t("Name for several"), _t("As in “carburettors”.")),
    "air_hours": (_t("Hours to air after draining"),
        _t("The slip cannot be printed before they have passed.")),
    "holds_fuel": (_t("Holds fuel"), ""),
    "magnetised": (_t("Magnetised"), _t("Then nobody is ever told to open one.")),
    "wet_tested": (_t("Tested wet on the bench"),
        _t("Then it is drained and checked again on the way back.")),
    "mass_least_kg": (_t("Lightest usual unit"), ""),
    "Family.mass_most_kg": (_t("Heaviest usual unit"), ""),
    "side_least_mm": (_t("Shortest usual side"), ""),
    "side_most_mm": (_t("Longest usual side"), ""),
    "symptoms": (_t("Complaints a customer can tick"), ""),
    "zones": (_t("Zones of the unit"), _t("One a line. Damage is recorded by zone.")),
    "questions": (_t("Questions that split look-alikes"),
        _t("Answered by counting or looking, never by opening.")),
    "TraitQuestion.text": (_t("Question"), ""),
    "TraitQuestion.hint": (_t("Help beside it"), ""),
    "answers": (_t("Answers"), _t("One a line.")),
    "shots": (_t("Photos wanted"), ""),
    "Shot.title": (_t("Title"), ""),
    "strip_steps": (_t("Strip list"), _t("What comes off, what stays on, what comes along, and why.")),
    "number_help": (_t("Where the number is"), ""),
    "never": (_t("What a customer must never do"), _t("One a line. Each begins with “Never” or “Do not”.")),
    "ports_capped": (_t("Every port is capped"), _t("Dirt ruins the unit.")),
    # unit model
    "make": (_t("Make"), ""),
    "family": (_t("Family"), ""),
    "description": (_t("Description"), ""),
    "fitted_to": (_t("Fitted to"), _t("Which engines it is found on, as customers say it.")),
    "numbers": (_t("Numbers on it"), ""),
    "NumberKind": (_t("Kind of number"), ""),
    "StampedNumber.kind": (_t("Kind"), ""),
    "StampedNumber.text": (_t("Number as it is stamped"), ""),
    "where": (_t("Where it stands"), ""),
    "envelope": (_t("Body without its projections"),
        _t("Standing on its base: length left to right, width front to back.")),
    "length_mm": (_t("Length"), ""),
    "width_mm": (_t("Width"), ""),
    "height_mm": (_t("Height"), ""),
    "mass_kg": (_t("Mass"), ""),
    "fragility_g": (_t("Shock it withstands (times gravity)"), _t("30 delicate, 60 ordinary, 100 sturdy.")),
    "support_faces": (_t("Support faces"),
        _t("Machined faces that can carry the load; the first is preferred.")),
    "face": (_t("Face"), ""),
    "projections": (_t("Projections"), _t("Anything that sticks out past the body: lever, shaft, union.")),
    "reach_mm": (_t("Reach past the face"), ""),
    "breadth_mm": (_t("Breadth"), ""),
    "depth_mm": (_t("Depth"), ""),
    "across_mm": (_t("Across from the centre"), _t("Minus is left; on base and top along the length.")),
    "up_mm": (_t("Up from the centre"), _t("Minus is down; on base and top along the width.")),
    "may_be_touched": (_t("May take a load"), ""),
    "taken_off": (_t("The customer takes it off before posting"), ""),
    "action": (_t("Action"), ""),
    "part": (_t("Part"), ""),
    "instruction": (_t("Instruction"), ""),
    "why": (_t("Why"), ""),
    "caution": (_t("Caution"), ""),
    "StripStep.projection": (_t("Projection it is about"),
        _t("The short name of the projection, if it is one.")),
    "once_empty": (_t("Taken off only once the unit is drained"),
        _t("For what lets fuel run out; all else that comes off stands before the draining.")),
    "traits": (_t("Answers to the family's questions"), ""),
    "Trait.question": (_t("Question"), _t("The short name of the question.")),
    "answer": (_t("Answer"), ""),
    "settings": (_t("Settings to record"), _t("One a line, such as “main jet”.")),
    "test_lines": (_t("Readings of the bench test"), ""),
    "TestLine.label": (_t("Reading"), ""),
    "TestLine.unit": (_t("Unit"), ""),
    "least": (_t("Least"), ""),
    "most": (_t("Most"), ""),
    "price_from_pence": (_t("Price from"), ""),
    "price_to_pence": (_t("Price to"), ""),
    "second_signature": (_t("Needs a second signature"), ""),
    # material
    "Material.kind": (_t("Kind of material"), ""),
    "curve_a_kpa": (_t("Curve, first constant a (kPa)"),
        _t("From G = (a / s) exp(b s h / t). Left empty, it is fitted to the readings below.")),
    "curve_b_m3_kj": (_t("Curve, second constant b (m³/kJ)"), _t("Left empty, it is fitted as well.")),
    "curve_source": (_t("Whose curve it is"),
        _t("For readings or a cushion factor: the supplier, the sheet and its date.")),
    "cushion_factor": (_t("Or known by its cushion factor"),
        _t("Thickness times peak over drop height, C = G t / h, at its least. Leave it empty otherwise.")),
    "least_factor": (_t("Least cushion factor"), ""),
    "CushionFactor.static_stress_kpa": (_t("Static stress at which it is least"), _t("kPa, or psi.")),
    "curve_readings": (_t("Readings of the supplier's curve"),
        _t("Two or more, the stress in kPa or psi. a and b are fitted; you see how far off each is.")),
    "static_stress_kpa": (_t("Static stress"), ""),
    "drop_height_mm": (_t("Drop height"), ""),
    "thickness_mm": (_t("Thickness"), ""),
    "peak_g": (_t("Peak (times gravity)"), ""),
    "stress_least_kpa": (_t("Least static stress"), ""),
    "stress_most_kpa": (_t("Most static stress"), ""),
    "settles_share": (_t("Settles in transit (%)"), ""),
    "uncertainty_share": (_t("Uncertainty of the curve (%)"), ""),
    "density_kg_m3": (_t("Density (kg/m³)"), ""),
    "thicknesses_mm": (_t("Thicknesses at hand"), _t("One a line.")),
    "heavy_allowed": (_t("Allowed under heavy units"), ""),
    "sharp_allowed": (_t("Allowed against sharp parts"), ""),
    "count_name": (_t("Counted in"), _t("What a person counts, such as “balled sheets”.")),
    "count_litres": (_t("Litres in one of them"), ""),
    "single_drop": (_t("Good for one drop only"), ""),
    "easy_to_get": (_t("A kitchen or a supermarket has it"), _t("Customers pack with these first.")),
    "Material.mass_most_kg": (_t("Heaviest unit it is advised for"), ""),
    # carton
    "Carton.length_mm": (_t("Inside length"), ""),
    "Carton.width_mm": (_t("Inside width"), ""),
    "Carton.height_mm": (_t("Inside height"), ""),
    "wall": (_t("Wall"), ""),
    "caliper_mm": (_t("Board thickness"), ""),
    "ect_kn_m": (_t("Edge crush strength (kN/m)"), ""),
    "board_g_m2": (_t("Board mass (g/m²)"), ""),
    "burst_kpa": (_t("Burst strength (kPa)"), ""),
    "puncture_j": (_t("Puncture energy (J)"), ""),
    "certificate_gross_kg": (_t("Gross mass on the certificate"), ""),
    "used": (_t("Has travelled before"), _t("Then its strength is taken down.")),
    # carrier
    "service": (_t("Service"), ""),
    "by_air": (_t("Goes by air"), ""),
    "Carrier.mass_most_kg": (_t("Heaviest parcel"), ""),
    "length_most_mm": (_t("Longest side allowed"), ""),
    "length_girth_most_mm": (_t("Most length plus girth"), ""),
    "width_most_mm": (_t("Second side allowed"), ""),
    "height_most_mm": (_t("Shortest side allowed"), ""),
    "divisor_cm3_kg": (_t("Volume divisor (cm³/kg)"), _t("Empty when it bills by mass alone.")),
    "side_rounding": (_t("How sides are rounded"), ""),
    "side_rounding_from": (_t("Sides are rounded so since"), ""),
    "side_rounding_before": (_t("How sides were rounded before"), ""),
    "bill_step_kg": (_t("Billed in steps of"), ""),
    "volume_free_cm3": (_t("No volume billing below (cm³)"), ""),
    "other_shape_share": (_t("Share of its box billed for a tube (%)"),
        _t("100 bills the whole box round it.")),
    "handling_mass_kg": (_t("Handled by hand up to"), ""),
    "handling_length_mm": (_t("Handled by hand up to a side of"), ""),
    "tracking_url": (_t("Tracking address"), _t("With {number} where the tracking number goes.")),
    "Carrier.days_least": (_t("Days on the way, least"), ""),
    "Carrier.days_most": (_t("Days on the way, most"), ""),
    "surcharges": (_t("Surcharges"), _t("Each applies as soon as any one of its figures is exceeded.")),
    "length_over_mm": (_t("Longest side over"), ""),
    "second_over_mm": (_t("Second side over"), ""),
    "length_girth_over_mm": (_t("Length plus girth over"), ""),
    "volume_over_cm3": (_t("Volume over (cm³)"), ""),
    "mass_over_kg": (_t("Mass over"), ""),
    "bills_least_kg": (_t("Then bills at least"), ""),
    "in_force_from": (_t("First day it is charged"), _t("Empty when it always was.")),
    # the shop
    "strapline": (_t("Line under the name"), ""),
    "address_lines": (_t("Address"), ""),
    "phone": (_t("Phone number"), ""),
    "email": (_t("Mail address"), ""),
    "hours_sentence": (_t("Opening hours in words"),
        _t("Shown to customers; dates are counted by the working hours.")),
    "intake_open": (_t("Bookings are open"), ""),
    "intake_note": (_t("What customers read about bookings"), ""),
    "carrier_in": (_t("Usual carrier to the shop"), ""),
    "carrier_back": (_t("Usual carrier back"), ""),
    "test_level": (_t("Drop test to plan for"), ""),
    "labour_pence_per_hour": (_t("Price of an hour's work"), ""),
    "prices_include": (_t("What prices include"),
        _t("One sentence beside every price, such as: Prices include VAT.")),
    "close_after_days": (_t("Closed so many days after sending back"), ""),
    "reminder_days": (_t("Days after which a question is asked again"), _t("One a line.")),
    "time_zone": (_t("Time zone"), _t("Such as Europe/London.")),
    "monday": (_t("Monday"),
        _t("Until 00:00 means midnight at the end of the day.")),
    "tuesday": (_t("Tuesday"), ""), "wednesday": (_t("Wednesday"), ""),
    "thursday": (_t("Thursday"), ""), "friday": (_t("Friday"), ""), "saturday": (_t("Saturday"), ""),
    "sunday": (_t("Sunday"), ""),
    "opens": (_t("From"), ""), "closes": (_t("Until"), ""),
    "closures": (_t("Longer closures"), _t("Both days are closed.")),
    "Closure.first": (_t("First day"), ""), "Closure.last": (
        _t("Last day"), ""), "reason": (_t("Reason"), ""),
    "short_days": (_t("Days with other hours"), ""), "on": (
        _t("Date"), ""), "spans": (_t("Hours of that day"), ""),
    "benches": (_t("How many benches"), ""),
    "people": (_t("Who works there"), _t("With nobody ticked the benches alone limit the work.")),
    "batch": (_t("Works in runs"),
        _t("For a tank that takes several jobs at once. Leave all three empty otherwise.")),
    "least_jobs": (_t("Starts with"), _t("Jobs that must wait before a run starts.")),
    "most_jobs": (_t("Takes at most"), ""),
    "longest_wait_hours": (_t("Or when one has waited (working hours)"), ""),
    "signs_off": (_t("May sign off"), ""),
    "days_off": (_t("Never works on"), _t("For somebody who works part of the week.")),
    "absences": (_t("Days away"),
        _t("Both days are counted. Work in hand waits; dates are forecast by it.")),
    "Absence.first": (_t("First day away"), ""),
    "Absence.last": (_t("Last day away"), _t("The same day for a single one.")),
    "Absence.note": (_t("Note"), _t("The owner alone sees it.")),
    "families": (_t("Families that take this route"), ""),
    "steps": (_t("Steps, in their order"), ""),
    "step": (_t("Step"), ""),
    "work_centre": (_t("Bench"), ""),
    "median_hours": (_t("Usual hours (median)"), ""),
    "median_days": (_t("Usual days (median)"), ""),
    "spread_factor": (_t("Spread"), _t("Two in three lie between usual divided by it and usual times it.")),
    "needed_share": (_t("Needed by (% of units)"), ""),
    "waits": (_t("Waits after it"), ""),
    "RouteWait.kind": (_t("Waits for"), ""),
    "rework_share": (_t("Fail the bench test (%)"), ""),
    "rework_effort": (_t("Hours of doing it again (%)"),
        _t("Of the ordinary hours of assembling and testing.")),
    "MessageText.subject": (_t("Subject"), _t("{number} stands for the job number.")),
    "opening": (_t("First words"), ""),
    "closing": (_t("Last words"), ""),
}
CHOICES: dict[str, object] = {
    "monday": _t("Monday"), "tuesday": _t("Tuesday"), "wednesday": _t("Wednesday"),
    "thursday": _t("Thursday"), "friday": _t("Friday"), "saturday": _t("Saturday"), "sunday": _t("Sunday"),
    "published": _t("published"), "measured": _t("measured by this shop"), "estimate": _t("estimate"),
    "casting": _t("casting number"), "list":
        _t("list or model number"), "tag": _t("tag"), "date": _t("date code"),
    "none": _t("not rounded"), "up_inch": _t("up to a whole inch"), "up_cm": _t("up to a whole centimetre"),
    "nearest_inch": _t("to the nearest inch"), "nearest_cm": _t("to the nearest centimetre"),
    "ista_1a": _t("ISTA 1A"), "ista_2a": _t("ISTA 2A"), "ista_3a": _t("ISTA 3A"),
    "d4169_level_1": _t("ASTM D4169, level 1"), "d4169_level_2": _t("ASTM D4169, level 2"),
    "d4169_level_3": _t("ASTM D4169, level 3"), "mil_810_transit": _t("MIL-STD-810, transit drop"),
}
ONE_OF: dict[str, object] = {
    "symptoms": _t("complaint"), "questions": _t("question"), "shots": _t("photo"), "strip_steps": _t("step"),
    "numbers": _t("number"), "support_faces": _t("support face"), "projections": _t("projection"),
    "traits": _t("answer"), "test_lines": _t("reading"),
    "curve_readings": _t("reading"), "surcharges": _t("surcharge"), "steps": _t("step"),
    "waits": _t("wait"), "closures": _t("closure"), "short_days": _t("day"), "spans": _t("span of hours"),
    "absences": _t("stretch of days"),
}
# Labels that do not read as a thing inside “Enter …” or “Choose …”.
IN_SENTENCE: dict[str, object] = {
    "settles_share": _t("how much it settles in transit (%)"), "count_name": _t("what it is counted in"),
    "count_litres": _t("how many litres one of them holds"), "why": _t("why it is done"),
    "bill_step_kg": _t("the step in which mass is billed"), "plural": _t("the name for several of them"),
    "side_rounding": _t("how sides are rounded"), "side_rounding_before": _t("how sides were rounded before"),
}
# fmt: on


def words_in_sentence(shape: FieldShape) -> str:
    """Return what a field is called inside a sentence, "" where its label says it."""
    return str(IN_SENTENCE.get(shape.name, ""))


def label_of(shape: FieldShape, *, owner: type) -> str:
    """Return the label of a field of the dataclass `owner`."""
    found = LABELS.get(f"{owner.__name__}.{shape.name}") or LABELS.get(shape.name)
    if found is None:
        return _fallback(shape)
    return str(found[0])


def hint_of(shape: FieldShape, *, owner: type) -> str:
    """Return the hint of a field, "" for none."""
    found = LABELS.get(f"{owner.__name__}.{shape.name}") or LABELS.get(shape.name)
    return str(found[1]) if found else ""


def choice_words(value: object) -> str:
    """Return a value of an enum in words.

    >>> choice_words("board_pad")
    'board pad'
    """
    if isinstance(value, HoldKind):
        return HOLD_LABELS[value]
    plain = str(value.value) if isinstance(value, Enum) else str(value)
    return str(CHOICES.get(plain, plain.replace("_", " ")))


def one_of(name: str) -> str:
    """Return what one row of a list of rows is called; the days of the week have spans of hours."""
    return str(ONE_OF.get(name, ONE_OF["spans"]))


def add_words(name: str) -> str:
    """Return the words of the button that adds a row."""
    return _("Add another %(row)s") % {"row": one_of(name)}


def first_words(name: str) -> str:
    """Return the words of the button that adds the first row."""
    return _("Add a %(row)s") % {"row": one_of(name)}


def _fallback(shape: FieldShape) -> str:
    words = shape.name
    for ending in ("_mm", "_kg", "_kpa", "_cm3", "_hours", "_days", "_litres"):
        words = words.removesuffix(ending)
    label = words.replace("_", " ").strip().capitalize()
    return f"{label} ({shape.unit})" if shape.unit and shape.measure is Measure.NONE else label
