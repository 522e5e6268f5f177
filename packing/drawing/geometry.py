"""Where does everything in a section lie, to scale: walls, cushions, block, unit and projections?"""

from dataclasses import dataclass
from itertools import pairwise

from packing.catalogue.schema import Face
from packing.drawing.hatches import BLOCK, CORNERS, PAD, hatch_of
from packing.drawing.shapes import Area, Outline, Span, Stroke
from packing.drawing.silhouettes import centre_line, placed_parts
from packing.parcel.outcome import BlockKind, CushionFace, ParcelPlan
from packing.parcel.unit import PackUnit, PlacedProjection, Stance

FLUTE_PITCH_UNITS = 4.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Where one view lies: its direction, inside left edge and floor in sheet units, and the ratio."""

    axis: int
    x: float
    floor_units: float
    ratio: float

    def across(self, value_mm: float) -> float:
        """Return a distance from the inside left edge as a place on the sheet."""
        return round(self.x + value_mm * self.ratio, 3)

    def up(self, value_mm: float) -> float:
        """Return a height above the carton floor as a place on the sheet."""
        return round(self.floor_units - value_mm * self.ratio, 3)


@dataclass(frozen=True, slots=True)
class Body:
    """The unit's body in one view, in millimetres from the inside left edge and the floor."""

    low_mm: float
    high_mm: float
    base_mm: float
    top_mm: float

    @property
    def middle_mm(self) -> float:
        """Return the middle across."""
        return (self.low_mm + self.high_mm) / 2


def inside_mm(plan: ParcelPlan, *, axis: int) -> float:
    """Return the carton's inside side that a view shows across."""
    return plan.carton.length_mm if axis == 0 else plan.carton.width_mm


def body_of(plan: ParcelPlan, *, axis: int) -> Body:
    """Return where the body is in a view."""
    low = plan.place.left_mm if axis == 0 else plan.place.front_mm
    side = plan.orientation.length_mm if axis == 0 else plan.orientation.width_mm
    return Body(low, low + side, plan.place.floor_mm, plan.place.floor_mm + plan.orientation.height_mm)


def faces_of(axis: int) -> tuple[Face, Face]:
    """Return the two upright faces that a view cuts."""
    return (Face.LEFT, Face.RIGHT) if axis == 0 else (Face.FRONT, Face.BACK)


def area(
    kind: str, slug: str, frame: Frame, *, across: Span, up: Span, hatch: str = "", hidden: str = ""
) -> Area:
    """Return a rectangle given in millimetres across and up."""
    x, y = frame.across(across[0]), frame.up(up[1])
    return Area(
        kind,
        slug,
        x,
        y,
        round(max(0.0, frame.across(across[1]) - x), 3),
        round(max(0.0, frame.up(up[0]) - y), 3),
        hatch,
        hidden=hidden,
    )


def wall_areas(plan: ParcelPlan, frame: Frame) -> list[Area]:
    """Return the two walls, the floor and the lid (two flaps each), cut."""
    inside, thick, height = inside_mm(plan, axis=frame.axis), plan.carton.caliper_mm, plan.carton.height_mm
    return [
        area("wall", "wall-low", frame, across=(-thick, 0), up=(0, height)),
        area("wall", "wall-high", frame, across=(inside, inside + thick), up=(0, height)),
        area("wall", "floor", frame, across=(-thick, inside + thick), up=(-2 * thick, 0)),
        area("wall", "lid", frame, across=(-thick, inside + thick), up=(height, height + 2 * thick)),
    ]


def flutes(walls: list[Area]) -> list[Outline]:
    """Return the flutes inside the walls as zigzags between their two lines; floor and lid have two."""
    found = []
    for wall in walls:
        flat = wall.width_units > wall.height_units
        rows = 2 if flat else 1
        for row in range(rows):
            if flat:
                high = wall.height_units / rows
                path = _zigzag(
                    wall.x,
                    wall.y + high * row,
                    length_units=wall.width_units,
                    height_units=high,
                    upright=False,
                )
            else:
                path = _zigzag(
                    wall.x,
                    wall.y,
                    length_units=wall.height_units,
                    height_units=wall.width_units,
                    upright=True,
                )
            found.append(Outline("flute", path))
    return found


def _zigzag(x: float, y: float, *, length_units: float, height_units: float, upright: bool) -> str:
    """Return a zigzag along a wall as path data from corner to corner, which packs into few bytes."""
    steps = max(2, round(length_units / FLUTE_PITCH_UNITS * 2))
    along, across = f"{length_units / steps:.4f}", f"{height_units:.2f}"
    there, back = (
        (f"{across} {along}", f"-{across} {along}")
        if upright
        else (f"{along} {across}", f"{along} -{across}")
    )
    return f"M{x:.2f} {y:.2f}" + "".join(f" l{back if at % 2 else there}" for at in range(steps))


def cushion_areas(plan: ParcelPlan, frame: Frame, projections: tuple[PlacedProjection, ...]) -> list[Area]:
    """Return everything that fills the carton in this section, from behind to before."""
    body, inside, height = (
        body_of(plan, axis=frame.axis),
        inside_mm(plan, axis=frame.axis),
        plan.carton.height_mm,
    )
    by_face = {cushion.face: cushion for cushion in plan.cushions}
    first, second = faces_of(frame.axis)
    found = []
    if any(cushion.cut_to_size for cushion in plan.cushions):
        found.append(area("corners", "corners", frame, across=(0, inside), up=(0, height), hatch=CORNERS))
    found += _base(plan, frame, by_face[Face.BASE], body=body, inside=inside)
    found += _top(frame, by_face[Face.TOP], body=body, inside=inside, height=height)
    for face, cushion in ((first, by_face[first]), (second, by_face[second])):
        found += _side(frame, cushion, body=body, inside=inside, low_side=face is first)
    found += _hollows(plan, frame, projections, body=body)
    return [item for item in found if item.height_units > 0 and item.width_units > 0]


def _pad(cushion: CushionFace, middle_mm: float, whole: Span, axis: int) -> Span:
    """Return the extent of a cushion: the cut pad about its middle, or the whole side."""
    if not cushion.cut_to_size:
        return whole
    half = (cushion.pad_length_mm if axis == 0 else cushion.pad_width_mm) / 2
    return max(whole[0], middle_mm - half), min(whole[1], middle_mm + half)


def _base(plan: ParcelPlan, frame: Frame, cushion: CushionFace, *, body: Body, inside: float) -> list[Area]:
    """Return the base: what is packed out, the cushion, block and pad, in the order of their heights."""
    block, wide = plan.block, _pad(cushion, body.middle_mm, (0.0, inside), frame.axis)
    hatch, out = hatch_of(cushion.kind), cushion.packed_out_mm
    found = [area("packed-out", "packed-out-base", frame, across=wide, up=(0, out), hatch=PAD)]
    if block is None:
        spread_low = body.base_mm - cushion.spreader_mm
        found.append(area("cushion", "base", frame, across=wide, up=(out, spread_low), hatch=hatch))
        found.append(
            area("pad", "pad-base", frame, across=wide if cushion.cut_to_size else _about(cushion, body,
            frame),
                 up=(spread_low, body.base_mm), hatch=PAD)
        )  # fmt: skip
        return found
    block_mm = block.length_mm if frame.axis == 0 else block.width_mm
    pad_mm = block.pad_length_mm if frame.axis == 0 else block.pad_width_mm
    block_span = body.middle_mm - block_mm / 2, body.middle_mm + block_mm / 2
    pad_span = body.middle_mm - pad_mm / 2, body.middle_mm + pad_mm / 2
    if block.kind is BlockKind.RIGID:
        pad_top = body.base_mm - block.height_mm
        pad_low = pad_top - block.pad_thickness_mm
        found += [
            area("cushion", "base", frame, across=wide, up=(out, pad_low), hatch=hatch),
            *_round_block(cushion, frame, inside=inside, up=(pad_low, body.base_mm), hatch=hatch),
            area("block", "block", frame, across=block_span, up=(pad_top, body.base_mm), hatch=BLOCK),
            area("pad", "pad", frame, across=pad_span, up=(pad_low, pad_top), hatch=PAD),
        ]
        return found
    pad_low = body.base_mm - block.pad_thickness_mm
    flat = pad_low - block.height_mm
    if cushion.cut_to_size:
        found.append(area("cushion", "base", frame, across=pad_span, up=(out, pad_low), hatch=hatch))
    else:
        found += [
            area("cushion", "base", frame, across=wide, up=(0, flat), hatch=hatch),
            *_round_block(cushion, frame, inside=inside, up=(flat, body.base_mm), hatch=hatch),
            area("block", "block", frame, across=block_span, up=(flat, pad_low), hatch=hatch),
        ]
    found.append(area("pad", "pad", frame, across=pad_span, up=(pad_low, body.base_mm), hatch=PAD))
    return found


def _about(cushion: CushionFace, body: Body, frame: Frame) -> Span:
    half = (cushion.pad_length_mm if frame.axis == 0 else cushion.pad_width_mm) / 2
    return body.middle_mm - half, body.middle_mm + half


def _round_block(cushion: CushionFace, frame: Frame, *, inside: float, up: Span, hatch: str) -> list[Area]:
    if cushion.cut_to_size:
        return []
    return [area("cushion", "round-block", frame, across=(0, inside), up=up, hatch=hatch)]


def _top(frame: Frame, cushion: CushionFace, *, body: Body, inside: float, height: float) -> list[Area]:
    wide = _pad(cushion, body.middle_mm, (0.0, inside), frame.axis)
    low = body.top_mm + cushion.spreader_mm
    pad = wide if cushion.cut_to_size else _about(cushion, body, frame)
    out = height - cushion.packed_out_mm
    return [
        area("cushion", "top", frame, across=wide, up=(low, out), hatch=hatch_of(cushion.kind)),
        area("packed-out", "packed-out-top", frame, across=wide, up=(out, height), hatch=PAD),
        area("pad", "pad-top", frame, across=pad, up=(body.top_mm, low), hatch=PAD),
    ]


def _side(frame: Frame, cushion: CushionFace, *, body: Body, inside: float, low_side: bool) -> list[Area]:
    """Return one upright side: packed out at the wall, the cushion, the pad on the body."""
    middle, up = (body.base_mm + body.top_mm) / 2, (body.base_mm, body.top_mm)
    high = _pad(cushion, middle, up, 1) if cushion.cut_to_size else up
    out, spread, slug = cushion.packed_out_mm, cushion.spreader_mm, cushion.face.value
    edges = [0.0, out, body.low_mm - spread, body.low_mm]
    if not low_side:
        edges = [inside, inside - out, body.high_mm + spread, body.high_mm]
    spans = [(min(pair), max(pair)) for pair in pairwise(edges)]
    return [
        area("packed-out", f"packed-out-{slug}", frame, across=spans[0], up=high, hatch=PAD),
        area("cushion", slug, frame, across=spans[1], up=high, hatch=hatch_of(cushion.kind)),
        area("pad", f"pad-{slug}", frame, across=spans[2], up=high, hatch=PAD),
    ]


def _hollows(
    plan: ParcelPlan, frame: Frame, projections: tuple[PlacedProjection, ...], *, body: Body
) -> list[Area]:
    """Return the hollow round each part that hangs below the support face, 5 mm wider than the part."""
    level = (body.base_mm + body.top_mm) / 2
    found = []
    for item in projections:
        low = level + item.low_mm[2]
        if plan.block is None or low >= body.base_mm - 0.5:
            continue
        span = body.middle_mm + item.low_mm[frame.axis] - 5, body.middle_mm + item.high_mm[frame.axis] + 5
        found.append(
            area("hollow", f"hollow-{item.slug}", frame, across=span, up=(max(0.0, low - 5), body.base_mm))
        )
    return found


def unit_areas(
    plan: ParcelPlan, unit: PackUnit, stance: Stance, frame: Frame
) -> tuple[list[Area], list[Stroke]]:
    """Return the envelope, the solids of the silhouette, every projection at true size, and centre lines."""
    body = body_of(plan, axis=frame.axis)
    level = (body.base_mm + body.top_mm) / 2
    areas: list[Area] = []
    strokes: list[Stroke] = []
    behind: list[Area] = []
    before: list[Area] = []
    for item in stance.projections:
        span = body.middle_mm + item.low_mm[frame.axis], body.middle_mm + item.high_mm[frame.axis]
        up = level + item.low_mm[2], level + item.high_mm[2]
        far = _is_behind(item, stance=stance, axis=frame.axis)
        placed = area("projection", item.slug, frame, across=span, up=up, hidden="hidden" if far else "")
        (behind if far else before).append(placed)
    parts = placed_parts(unit, stance=stance)
    away = 1 - frame.axis
    # The farthest first: seen from the front the back is far, seen from the right the left.
    order = sorted(parts, key=lambda part: -part.low_mm[1] if away == 1 else part.high_mm[0])
    for at, part in enumerate(order):
        span = body.middle_mm + part.low_mm[frame.axis], body.middle_mm + part.high_mm[frame.axis]
        up = level + part.low_mm[2], level + part.high_mm[2]
        shape = area("body", f"body-{at + 1}", frame, across=span, up=up)
        if part.axis == away:
            shape = Area(
                shape.kind,
                shape.slug,
                shape.x,
                shape.y,
                shape.width_units,
                shape.height_units,
                outline="ellipse",
            )
        areas.append(shape)
        strokes += centre_line(part, axis=frame.axis, area=shape)
    envelope = area(
        "envelope", "unit", frame, across=(body.low_mm, body.high_mm), up=(body.base_mm, body.top_mm)
    )
    return [*areas, *before, *behind, envelope], strokes


def _is_behind(item: PlacedProjection, *, stance: Stance, axis: int) -> bool:
    """Tell whether a part stands out on the far side of the body, where the body hides it."""
    half = stance.size_mm[1 - axis] / 2
    if axis == 0:
        return item.high_mm[1] > half + 0.5
    return item.low_mm[0] < -half - 0.5


def support_strokes(plan: ParcelPlan, frame: Frame) -> list[Stroke]:
    """Return the support face as a heavy line."""
    body = body_of(plan, axis=frame.axis)
    base = next(cushion for cushion in plan.cushions if cushion.face is Face.BASE)
    wide = base.pad_length_mm if frame.axis == 0 else base.pad_width_mm
    if plan.block is not None and plan.block.kind is BlockKind.RIGID:
        wide = plan.block.length_mm if frame.axis == 0 else plan.block.width_mm
    wide = min(wide, body.high_mm - body.low_mm)
    y = frame.up(body.base_mm)
    return [
        Stroke(
            "support",
            (frame.across(body.middle_mm - wide / 2), y),
            (frame.across(body.middle_mm + wide / 2), y),
        )
    ]


def crown_strokes(plan: ParcelPlan, frame: Frame) -> list[Stroke]:
    """Return the slight bulge of the closed lid, to scale."""
    inside, caliper = inside_mm(plan, axis=frame.axis), plan.carton.caliper_mm
    edge = frame.up(plan.carton.height_mm + 2 * caliper)
    peak = frame.up(plan.carton.height_mm + 2 * caliper + plan.crown_mm)
    middle = frame.across(inside / 2)
    return [
        Stroke("crown", (frame.across(-caliper), edge), (middle, peak)),
        Stroke("crown", (middle, peak), (frame.across(inside + caliper), edge)),
    ]
