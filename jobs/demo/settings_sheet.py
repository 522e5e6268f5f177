"""Which figures stand on a settings sheet of the demo shop? Invented, but of the size such units have.

Usual sizes by common practice, no published source; no make's own figures. What the bench test read is
what the unit was left at, so that sheet and test never contradict each other.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True)
class Occasion:
    """The setting that is written down, what the test read by the slug of its line, and the dice."""

    name: str
    readings: Mapping[str, float]
    dice: Random


Drawn = tuple[str, str]
Draw = Callable[[Occasion], Drawn]


def draw_sheet(
    names: Sequence[str], *, readings: Mapping[str, float], dice: Random
) -> tuple[dict[str, str], dict[str, str]]:
    """Return what was found and what was left for the settings that are known here; others stay unwritten."""
    drawn = {
        name: _draw(name)(Occasion(name, readings, dice)) for name in names if _draw(name) is not _nothing
    }
    return (
        {name: found for name, (found, _left) in drawn.items()},
        {name: left for name, (_found, left) in drawn.items()},
    )


def _nothing(_occasion: Occasion) -> Drawn:
    return "", ""


def _draw(name: str) -> Draw:
    """Return how the setting of this name is drawn: the longest beginning that is listed."""
    fitting = [start for start in BY_START if name.startswith(start)]
    return BY_START[max(fitting, key=len)] if fitting else _nothing


def _set(
    right: float, *, off: float, digits: int = 1, step: float = 0.0, line: str = "", spread: str = ""
) -> Draw:
    """Return how a figure is drawn that is found up to `off` wrong and left within a fifth of that.

    Where the test read it on `line`, it is left at that reading; one of several at a quarter of the test's
    `spread` from it.
    """

    def draw(at: Occasion) -> Drawn:
        read = at.readings.get(line)
        wanted = right if read is None else read

        def say(value: float) -> str:
            rounded = round(value / step) * step if step and read is None else value
            return f"{max(rounded, 0.0):.{digits}f}"

        around = off / 5 if read is None else at.readings.get(spread, 0.0) / 4
        found = say(wanted + at.dice.uniform(-off, off))
        return found, say(wanted + at.dice.uniform(-around, around))

    return draw


def _several(*each: Draw) -> Draw:
    def draw(at: Occasion) -> Drawn:
        found, left = zip(*(one(at) for one in each), strict=True)
        return " / ".join(found), " / ".join(left)

    return draw


def _curve(at: Occasion) -> Drawn:
    """Draw one advance for each speed that the setting's name lists."""
    speeds = re.findall(r"\d+", at.name)
    usual = ((2.0, 1.5), (7.0, 2.5), (12.0, 3.0))
    points = [
        _set(right, off=off, line=f"advance_{speed}")
        for speed, (right, off) in zip(speeds, usual, strict=True)
    ]
    return _several(*points)(at)


def _kept(*values: str) -> Draw:
    """Something that is written down and left as it was."""

    def draw(at: Occasion) -> Drawn:
        value = at.dice.choice(values)
        return value, value

    return draw


def _renewed(*worn: str, right: str) -> Draw:
    return lambda at: (at.dice.choice(worn), right)


def _worn(least: float, most: float, *, digits: int, right: float, line: str = "") -> Draw:
    """Return how a measure of wear is drawn, and what it is after the repair: as tested, if it was."""

    def draw(at: Occasion) -> Drawn:
        left = at.readings.get(line, right)
        return f"{at.dice.uniform(least, most):.{digits}f}", f"{left:.{digits}f}"

    return draw


TURNS = _set(1.5, off=0.9, digits=2, step=0.25)
LEVEL = _set(14.0, off=2.0, digits=1, step=0.5)
READ_LEVEL = _set(14.0, off=2.0, digits=1, step=0.5, line="float_level")
ELEMENT = _set(48.0, off=4.0, line="full_delivery", spread="spread")
OPENING = _set(12_400.0, off=1200.0, digits=0, step=50.0, line="opening_pressure", spread="spread")
START_DEG = _set(0.0, off=1.0)
BY_START: dict[str, Draw] = {
    # carburettors and throttle bodies
    "Mixture screw, turns": TURNS,
    "Mixture screws": _several(TURNS, TURNS),
    "Idle stop screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Idle screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Curb idle screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Float level, mm": READ_LEVEL,
    "Float level, mm, front": _several(LEVEL, LEVEL),
    "Float level, mm, closed": _several(
        _set(8.5, off=1.0, step=0.5, line="float_level"), _set(20.0, off=1.5, step=0.5)
    ),
    "Main jet, number": _kept("110", "112", "115", "120"),
    "Main jets, numbers": _several(_kept("130", "132"), _kept("145", "150")),
    "Main, air": _kept("125 / 170 / 50 F9", "130 / 180 / 50 F8"),
    "Choke tubes": _kept("30", "32", "34"),
    "Governor rod": _kept("2", "3"),
    "Spindle seals": _renewed("felt, hard", "felt, torn", "none", right="new felt"),
    "Fast idle": _kept("second step", "third step"),
    "Choke cover": _renewed("2 rich", "1 lean", "middle", right="middle"),
    "Dashpot gap": _set(2.5, off=1.0, step=0.5),
    "Solenoid gap": _set(1.5, off=0.8),
    "Secondary spring": _kept("yellow", "plain"),
    "Jet nut": _set(12.0, off=4.0, digits=0),
    "Needle, letters": _kept("GX", "ES", "MB"),
    "Piston spring": _kept("red", "yellow"),
    "Sensor voltage, throttle closed": _set(0.5, off=0.15, digits=2, line="closed_voltage"),
    "Sensor voltage, throttle wide": _set(4.5, off=0.3, digits=2, line="wide_voltage"),
    "Stop screw, sealed": _kept("sealed"),
    "Idle valve": _set(9.5, off=1.5, line="idle_valve_ohm"),
    # ignition
    "Points gap": _set(0.38, off=0.15, digits=2, line="points_gap"),
    "Dwell": _set(60.0, off=8.0, digits=0, line="dwell"),
    "Advance curve": _curve,
    "Vacuum advance": _set(8.0, off=3.0),
    "Advance springs": _kept("one light, one heavy", "two alike"),
    "Shaft end float": _set(0.25, off=0.2, digits=2, line="end_float"),
    "Impulse lag": _set(25.0, off=4.0, digits=0, line="lag_angle"),
    "Advance travel": _set(20.0, off=4.0, digits=0),
    "Rotation": _kept("clockwise", "anticlockwise"),
    "Firing order": _kept("1-3-4-2", "1-2-4-3"),
    "Flange position": _set(0.0, off=2.0, step=0.5),
    "Shims under the base": _kept("0.5", "1.0"),
    # pumps, injectors and senders
    "Delivery at full load": _set(52.0, off=5.0, line="full_delivery"),
    "Delivery of each element": _several(*[ELEMENT] * 4),
    "Start of delivery of each element": _several(START_DEG, *[_set(at, off=1.0) for at in (90, 180, 270)]),
    "Idle stop, mm": _set(6.0, off=2.0, step=0.5),
    "Full speed stop": _renewed("sealed", "seal broken", right="sealed"),
    "Full-load stop": _renewed("sealed", "seal broken", right="sealed"),
    "Governor cut-off": _set(2250.0, off=90.0, digits=0, step=10.0, line="cut_off"),
    "Timing, degrees": _set(0.0, off=1.5),
    "Advance, degrees at rated": _set(5.0, off=1.5, line="advance"),
    "Timing device": _set(6.0, off=1.5),
    "Rack travel": _set(10.5, off=0.6),
    "Idle and top speed": _several(
        _set(250.0, off=30.0, digits=0, step=10.0), _set(1050.0, off=60.0, digits=0, line="cut_off")
    ),
    "Delivery pressure": _worn(9.0, 16.0, digits=0, right=25.0, line="pressure"),
    "Vacuum, kPa": _worn(15.0, 28.0, digits=0, right=40.0, line="vacuum"),
    "Arm face wear": _worn(0.2, 0.9, digits=1, right=0.0),
    "Outlet direction": _kept("90", "180"),
    "Resistance, ohm, float down": _set(10.0, off=4.0, digits=0, line="ohm_low"),
    "Resistance, ohm, float up": _set(180.0, off=15.0, digits=0, line="ohm_high"),
    "Arm length": _set(210.0, off=3.0, digits=0),
    "Float depth": _set(175.0, off=6.0, digits=0),
    "Pickup clearance": _set(12.0, off=4.0, digits=0),
    "Opening pressure": _several(*[OPENING] * 4),
    "Shims, each": _several(*[_set(1.2, off=0.2, digits=2, step=0.05)] * 4),
    "Nozzle number": _kept("the same on all four"),
}
