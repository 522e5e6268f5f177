"""Which distances does each section dimension, and in which words?"""

from packing.catalogue.schema import Face
from packing.drawing.geometry import Frame, body_of, faces_of, inside_mm
from packing.drawing.layout import Measure
from packing.parcel.outcome import BlockKind, Clearance, CushionFace, ParcelPlan

PLACES = {
    Face.LEFT: "left",
    Face.RIGHT: "right",
    Face.FRONT: "front",
    Face.BACK: "back",
    Face.BASE: "floor",
    Face.TOP: "lid",
}


def level_measures(plan: ParcelPlan, frame: Frame) -> list[Measure]:
    """Return the horizontal dimensions of a view: bodies and tips to the walls, cushions, the inside."""
    first, second = faces_of(frame.axis)
    inside = inside_mm(plan, axis=frame.axis)
    rows = []
    for item in plan.clearances:
        if item.face in (first, second):
            rest = max(0.0, item.at_rest_mm)
            ends = (0.0, rest) if item.face is first else (inside - rest, inside)
            rows.append(_measure(item, frame, ends, upright=False))
    for face in (first, second):
        cushion = _cushion(plan, face)
        if _is_part(cushion):
            low = cushion.packed_out_mm
            ends = (low, low + cushion.thickness_mm)
            if face is second:
                ends = (inside - ends[1], inside - ends[0])
            words = f"{cushion.name.lower()}, {PLACES[face]}"
            span = frame.across(ends[0]), frame.across(ends[1])
            rows.append(Measure(f"cushion-{face.value}", "thickness", words, span, cushion.thickness_mm))
    slug, words = ("inside-length", "inside length") if frame.axis == 0 else ("inside-width", "inside width")
    rows.append(Measure(slug, "inside", words, (frame.across(0), frame.across(inside)), inside))
    return rows


def upright_measures(plan: ParcelPlan, frame: Frame) -> list[Measure]:
    """Return the upright dimensions: in the front view all heights, in the side view the inside height."""
    height = plan.carton.height_mm
    if frame.axis == 1:
        span = frame.up(height), frame.up(0)
        return [Measure("inside-height", "inside", "inside height", span, height)]
    body = body_of(plan, axis=0)
    rows = []
    for item in plan.clearances:
        if item.face in (Face.BASE, Face.TOP):
            rest = max(0.0, item.at_rest_mm)
            ends = (0.0, rest) if item.face is Face.BASE else (height - rest, height)
            rows.append(_measure(item, frame, ends, upright=True))
    for face in (Face.BASE, Face.TOP):
        cushion = _cushion(plan, face)
        if _is_part(cushion):
            low = cushion.packed_out_mm
            ends = (low, low + cushion.thickness_mm)
            if face is Face.TOP:
                ends = (height - ends[1], height - ends[0])
            words = f"{cushion.name.lower()} {'under the unit' if face is Face.BASE else 'on top'}"
            span = frame.up(ends[1]), frame.up(ends[0])
            rows.append(Measure(f"cushion-{face.value}", "upright", words, span, cushion.thickness_mm))
    block = plan.block
    if block is not None and (block.kind is BlockKind.RIGID or not _cushion(plan, Face.BASE).cut_to_size):
        high = body.base_mm - (block.pad_thickness_mm if block.kind is BlockKind.BUILT_UP else 0.0)
        span = frame.up(high), frame.up(high - block.height_mm)
        words = "block" if block.kind is BlockKind.RIGID else "built-up block"
        rows.append(Measure("block", "upright", words, span, block.height_mm))
    return rows


def _measure(item: Clearance, frame: Frame, ends: tuple[float, float], *, upright: bool) -> Measure:
    place = PLACES[item.face]
    wall = place if item.face in (Face.BASE, Face.TOP) else f"{place} wall"
    words = f"{item.name if item.projection else 'body'} to {wall}"
    slug = f"clearance-{item.face.value}" + (f"-{item.projection}" if item.projection else "")
    span = (
        (frame.up(ends[1]), frame.up(ends[0])) if upright else (frame.across(ends[0]), frame.across(ends[1]))
    )
    return Measure(slug, "clearance", words, span, ends[1] - ends[0], item.at_deepest_mm)


def _cushion(plan: ParcelPlan, face: Face) -> CushionFace:
    return next(cushion for cushion in plan.cushions if cushion.face is face)


def _is_part(cushion: CushionFace) -> bool:
    """Tell whether a cushion fills only a part of its gap, so that it needs a dimension of its own."""
    return cushion.thickness_mm > 0 and abs(cushion.thickness_mm - cushion.gap_mm) > 0.05
