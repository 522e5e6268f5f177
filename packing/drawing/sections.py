"""How does a parcel plan look in section, to scale, with every clearance and thickness dimensioned?"""

from dataclasses import dataclass

from packing.catalogue.schema import Face
from packing.drawing.layout import Ladder, Rows
from packing.drawing.shapes import (
    LINE_HEIGHT,
    SHEET_WIDTH,
    Area,
    Dimension,
    DrawingSheet,
    Span,
    Stroke,
    View,
    make_label,
)
from packing.drawing.title_block import MARGIN, draw_scale_bar, draw_title_block
from packing.drawing.words import describe
from packing.parcel.outcome import CushionFace, ParcelPlan
from packing.parcel.unit import PackUnit, PlacedProjection, stand
from packing.quantities import UnitChoice, show_length

LEFT_MARGIN = 46.0
VIEW_WIDTH = 178.0
# Units a millimetre; at half a millimetre of paper a unit these are 1:1, 1:2, 1:2.5, 1:4, 1:5, 1:10, 1:20.
RATIOS = (2.0, 1.0, 0.8, 0.5, 0.4, 0.2, 0.1)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where one view lies: inside left edge and floor in sheet units, and the ratio."""

    axis: int
    x: float
    floor_units: float
    ratio: float

    def across(self, value_mm: float) -> float:
        return round(self.x + value_mm * self.ratio, 3)

    def up(self, value_mm: float) -> float:
        return round(self.floor_units - value_mm * self.ratio, 3)


def section_views(
    plan: ParcelPlan, unit: PackUnit, *, choice: UnitChoice = UnitChoice.METRIC
) -> DrawingSheet:
    """Return the sheet of a plan: two sections at one ratio, dimensions, scale bar, title block.

    Every distance on the sheet is the plan's distance times `ratio`, to a thousandth of a unit. `unit` has
    to be the
    one the plan was made for. Raises: OutOfRange when it cannot stand as the plan says.
    """
    stance = stand(unit, down=plan.orientation.down, turn=plan.orientation.turn)
    widest_mm = max(plan.outside_length_mm, plan.outside_width_mm)
    ratio = next((ratio for ratio in RATIOS if widest_mm * ratio <= VIEW_WIDTH), RATIOS[-1])
    views: list[View] = []
    top = MARGIN
    for axis, slug, title in (
        (0, "front", "Section from the front"),
        (1, "side", "Section from the right side"),
    ):
        view, top = _view(
            plan, stance.projections, axis=axis, slug=slug, title=title, y=top, ratio=ratio, choice=choice
        )
        views.append(view)
    bar, top = draw_scale_bar(top, ratio=ratio, choice=choice)
    block, frame, bottom = draw_title_block(plan, y=top, ratio=ratio, choice=choice)
    return DrawingSheet(
        slug=plan.unit or "unit",
        width_units=SHEET_WIDTH,
        height_units=round(bottom, 1),
        ratio=ratio,
        title=f"{plan.unit_name} in the carton {plan.carton.name}, in section",
        description=" ".join(describe(plan, choice=choice)),
        views=tuple(views),
        scale_bar=bar,
        title_block=block,
        frame=frame,
    )


def _view(
    plan: ParcelPlan,
    projections: tuple[PlacedProjection, ...],
    *,
    axis: int,
    slug: str,
    title: str,
    y: float,
    ratio: float,
    choice: UnitChoice,
) -> tuple[View, float]:
    """Return one section and the height at which the next thing may begin."""
    heading = make_label("view", lines=(title,), x=MARGIN, y=y)
    caliper_mm = plan.carton.caliper_mm
    wall_top = y + LINE_HEIGHT + 6 + plan.crown_mm * ratio
    floor = wall_top + (2 * caliper_mm + plan.carton.height_mm) * ratio
    frame = _Frame(axis, LEFT_MARGIN + caliper_mm * ratio, floor, ratio)
    inside_mm = plan.carton.length_mm if axis == 0 else plan.carton.width_mm
    areas = [
        *_walls(plan, frame, inside_mm),
        *_cushions(plan, frame, inside_mm),
        *_unit(plan, frame, projections),
    ]
    strokes = [*_support(plan, frame), *_crown(plan, frame, inside_mm)]
    dimensions: list[Dimension] = []
    right = frame.across(inside_mm + caliper_mm)
    ladder = Ladder(x=right + 8, label_x_units=right + 42, y=wall_top, choice=choice)
    for name, slug_mm, low_mm, high_mm in _uprights(plan, axis=axis):
        ladder.add(
            name, slug=slug_mm, low=frame.up(low_mm), high=frame.up(high_mm), value_mm=high_mm - low_mm
        )
    dimensions += ladder.placed(wall_x_units=right)
    if axis == 0:
        dimensions += _layer_heights(plan, frame, choice=choice)
    lowest = max(dimension.label.y + dimension.label.height_units for dimension in dimensions)
    under = max(floor + 2 * caliper_mm * ratio, lowest) + 6
    rows = Rows(y=under, choice=choice)
    for name, slug_mm, low_mm, high_mm, kind in _levels(plan, axis=axis, inside_mm=inside_mm):
        rows.add(
            name,
            slug=slug_mm,
            kind=kind,
            span=(frame.across(low_mm), frame.across(high_mm)),
            value_mm=high_mm - low_mm,
            floor_units=floor,
        )
    dimensions += rows.placed
    view = View(slug, heading, tuple(areas), tuple(strokes), tuple(dimensions))
    return view, rows.bottom + 14


def _area(kind: str, slug: str, frame: _Frame, *, across: Span, up: Span) -> Area:
    x, y = frame.across(across[0]), frame.up(up[1])
    return Area(
        kind, slug, x, y, round(frame.across(across[1]) - x, 3), round(max(0.0, frame.up(up[0]) - y), 3)
    )


def _walls(plan: ParcelPlan, frame: _Frame, inside_mm: float) -> list[Area]:
    thick, height = plan.carton.caliper_mm, plan.carton.height_mm
    return [
        _area("wall", "wall-low", frame, across=(-thick, 0), up=(0, height)),
        _area("wall", "wall-high", frame, across=(inside_mm, inside_mm + thick), up=(0, height)),
        _area("wall", "floor", frame, across=(-thick, inside_mm + thick), up=(-2 * thick, 0)),
        _area("wall", "lid", frame, across=(-thick, inside_mm + thick), up=(height, height + 2 * thick)),
    ]


def _body(plan: ParcelPlan, axis: int) -> tuple[float, float, float, float]:
    """Return the body in this view: low and high across, low and high up."""
    low = plan.place.left_mm if axis == 0 else plan.place.front_mm
    side = plan.orientation.length_mm if axis == 0 else plan.orientation.width_mm
    return low, low + side, plan.place.floor_mm, plan.place.floor_mm + plan.orientation.height_mm


def _faces(axis: int) -> tuple[Face, Face]:
    return (Face.LEFT, Face.RIGHT) if axis == 0 else (Face.FRONT, Face.BACK)


def _cushions(plan: ParcelPlan, frame: _Frame, inside_mm: float) -> list[Area]:
    low, high, base, top = _body(plan, frame.axis)
    by_face = {cushion.face: cushion for cushion in plan.cushions}
    first, second = _faces(frame.axis)
    height = plan.carton.height_mm
    left, right = by_face[first].thickness_mm, by_face[second].thickness_mm
    whole = (0.0, inside_mm)
    lid_low = height - by_face[Face.TOP].thickness_mm
    areas = [
        _area(
            "cushion",
            "base",
            frame,
            across=_pad(by_face[Face.BASE], (low + high) / 2, whole, frame.axis),
            up=(0, by_face[Face.BASE].thickness_mm),
        ),
        _area(
            "cushion",
            "top",
            frame,
            across=_pad(by_face[Face.TOP], (low + high) / 2, whole, frame.axis),
            up=(lid_low, height),
        ),
        _area(
            "cushion",
            first.value,
            frame,
            across=(0, left),
            up=_pad(by_face[first], (base + top) / 2, (base, top), 1),
        ),
        _area(
            "cushion",
            second.value,
            frame,
            across=(inside_mm - right, inside_mm),
            up=_pad(by_face[second], (base + top) / 2, (base, top), 1),
        ),
    ]
    areas += _spreaders(plan, frame)
    middle, block = (low + high) / 2, plan.block
    if block is not None:
        wide = block.length_mm if frame.axis == 0 else block.width_mm
        pad = block.pad_length_mm if frame.axis == 0 else block.pad_width_mm
        pad_top = base - block.height_mm
        areas.append(_area("cushion", "round-block", frame, across=(0, inside_mm), up=(pad_top, base)))
        areas.append(
            _area("block", "block", frame, across=(middle - wide / 2, middle + wide / 2), up=(pad_top, base))
        )
        pad_low = pad_top - block.pad_thickness_mm
        areas.append(
            _area("pad", "pad", frame, across=(middle - pad / 2, middle + pad / 2), up=(pad_low, pad_top))
        )
    return [area for area in areas if area.height_units > 0 and area.width_units > 0]


def _pad(cushion: CushionFace, middle_mm: float, whole: Span, axis: int) -> Span:
    """Return the extent of a cushion: the cut pad about its middle, or the whole side."""
    if not cushion.cut_to_size:
        return whole
    half = (cushion.pad_length_mm if axis == 0 else cushion.pad_width_mm) / 2
    return middle_mm - half, middle_mm + half


def _spreaders(plan: ParcelPlan, frame: _Frame) -> list[Area]:
    """Return the board pads between body and cushion on the sides and top of a view."""
    low, high, base, top = _body(plan, frame.axis)
    first, second = _faces(frame.axis)
    thick = {cushion.face: cushion.spreader_mm for cushion in plan.cushions}
    pads = [
        _area("pad", f"pad-{first.value}", frame, across=(low - thick[first], low), up=(base, top)),
        _area("pad", f"pad-{second.value}", frame, across=(high, high + thick[second]), up=(base, top)),
        _area("pad", "pad-top", frame, across=(low, high), up=(top, top + thick[Face.TOP])),
    ]
    if plan.block is None:
        pads.append(_area("pad", "pad-base", frame, across=(low, high), up=(base - thick[Face.BASE], base)))
    return pads


def _unit(plan: ParcelPlan, frame: _Frame, projections: tuple[PlacedProjection, ...]) -> list[Area]:
    low, high, base, top = _body(plan, frame.axis)
    areas = [_area("unit", "unit", frame, across=(low, high), up=(base, top))]
    middle, level = (low + high) / 2, (base + top) / 2
    for item in projections:
        across = middle + item.low_mm[frame.axis], middle + item.high_mm[frame.axis]
        up = level + item.low_mm[2], level + item.high_mm[2]
        areas.append(_area("projection", item.slug, frame, across=across, up=up))
    return areas


def _support(plan: ParcelPlan, frame: _Frame) -> list[Stroke]:
    low, high, base, _ = _body(plan, frame.axis)
    block = plan.block
    cushion = next(cushion for cushion in plan.cushions if cushion.face is Face.BASE)
    wide = cushion.pad_length_mm if frame.axis == 0 else cushion.pad_width_mm
    if block is not None:
        wide = block.length_mm if frame.axis == 0 else block.width_mm
    wide, middle = min(wide, high - low), (low + high) / 2
    y = frame.up(base)
    return [Stroke("support", (frame.across(middle - wide / 2), y), (frame.across(middle + wide / 2), y))]


def _crown(plan: ParcelPlan, frame: _Frame, inside_mm: float) -> list[Stroke]:
    lid, caliper = plan.carton.height_mm, plan.carton.caliper_mm
    peak = frame.up(lid + 2 * caliper + plan.crown_mm)
    edge, middle = frame.up(lid + 2 * caliper), frame.across(inside_mm / 2)
    return [
        Stroke("crown", (frame.across(-caliper), edge), (middle, peak)),
        Stroke("crown", (middle, peak), (frame.across(inside_mm + caliper), edge)),
    ]


def _uprights(plan: ParcelPlan, *, axis: int) -> list[tuple[str, str, float, float]]:
    """Return the upright dimensions of a view: name, slug, from and to above the floor (mm)."""
    if axis == 1:
        return [("inside height", "inside-height", 0.0, plan.carton.height_mm)]
    _, _, base, top = _body(plan, axis)
    height = plan.carton.height_mm
    cushions = {cushion.face: cushion for cushion in plan.cushions}
    rows = [("top", "clearance-top", top, height), ("under the unit", "clearance-base", 0.0, base)]
    for face in (Face.TOP, Face.BASE):
        thick = cushions[face].thickness_mm
        if abs(thick - cushions[face].gap_mm) > 0.05 and thick > 0:
            span = (height - thick, height) if face is Face.TOP else (0.0, thick)
            rows.append((f"cushion, {face.value}", f"cushion-{face.value}", *span))
    if plan.block is not None:
        rows.append(("block", "block", base - plan.block.height_mm, base))
    for item in plan.clearances:
        if item.projection and item.face is Face.BASE:
            rows.append(
                (f"{item.name} to floor", f"clearance-base-{item.projection}", 0.0, max(0.0, item.at_rest_mm))
            )
        if item.projection and item.face is Face.TOP:
            low = height - max(0.0, item.at_rest_mm)
            rows.append((f"{item.name} to lid", f"clearance-top-{item.projection}", low, height))
    return rows


def _levels(plan: ParcelPlan, *, axis: int, inside_mm: float) -> list[tuple[str, str, float, float, str]]:
    """Return the horizontal dimensions of a view: name, slug, from, to (mm from the inside edge), kind."""
    first, second = _faces(axis)
    cushions = {cushion.face: cushion for cushion in plan.cushions}
    rows: list[tuple[str, str, float, float, str]] = []
    for item in plan.clearances:
        if item.face not in (first, second):
            continue
        rest = max(0.0, item.at_rest_mm)
        span = (0.0, rest) if item.face is first else (inside_mm - rest, inside_mm)
        slug = f"clearance-{item.face.value}" + (f"-{item.projection}" if item.projection else "")
        name = f"{item.name} to wall" if item.projection else item.face.value
        rows.append((name, slug, *span, "clearance"))
    for face in (first, second):
        thick = cushions[face].thickness_mm
        if abs(thick - cushions[face].gap_mm) > 0.05 and thick > 0:
            span = (0.0, thick) if face is first else (inside_mm - thick, inside_mm)
            rows.append((f"cushion, {face.value}", f"cushion-{face.value}", *span, "thickness"))
    rows.append(("inside", "inside-length" if axis == 0 else "inside-width", 0.0, inside_mm, "inside"))
    return rows


def _layer_heights(plan: ParcelPlan, frame: _Frame, *, choice: UnitChoice) -> list[Dimension]:
    """Return the heights of the layers as ticks on the left, highest first, no label on another."""
    found: list[Dimension] = []
    free = frame.up(plan.carton.height_mm) - LINE_HEIGHT / 2
    for layer in reversed(plan.layers):
        y = frame.up(layer.to_mm)
        top = max(y - LINE_HEIGHT / 2, free)
        free = top + LINE_HEIGHT
        text = (
            f"{layer.to_mm:.0f}"
            if choice is UnitChoice.METRIC
            else show_length(layer.to_mm, choice=choice).split(" in")[0]
        )
        label = make_label("layer", lines=(text,), x=2, y=top)
        tick_x = frame.across(-plan.carton.caliper_mm)
        leader = Stroke("leader", (label.x + label.width_units + 1, top + LINE_HEIGHT / 2), (tick_x - 1, y))
        found.append(
            Dimension(
                slug=f"layer-{layer.slug}",
                kind="layer",
                value_mm=layer.to_mm,
                start=(tick_x, frame.floor_units),
                end=(tick_x, y),
                strokes=(leader,),
                label=label,
            )
        )
    return found
