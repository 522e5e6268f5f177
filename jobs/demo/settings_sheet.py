"""Which figures stand on a settings sheet of the demo shop? Invented, but of the size such units have.

Usual sizes by common practice, no published source; no make's own figures.
"""

from collections.abc import Callable, Sequence
from random import Random

Drawn = tuple[str, str]
Draw = Callable[[Random], Drawn]


def draw_sheet(names: Sequence[str], *, dice: Random) -> tuple[dict[str, str], dict[str, str]]:
    """Return what was found and what was left for the settings that are known here; others stay unwritten."""
    drawn = {name: _draw(name)(dice) for name in names if _draw(name) is not _nothing}
    return (
        {name: found for name, (found, _left) in drawn.items()},
        {name: left for name, (_found, left) in drawn.items()},
    )


def _nothing(_dice: Random) -> Drawn:
    return "", ""


def _draw(name: str) -> Draw:
    """Return how the setting of this name is drawn: the longest beginning that is listed."""
    fitting = [start for start in BY_START if name.startswith(start)]
    return BY_START[max(fitting, key=len)] if fitting else _nothing


def _set(right: float, *, off: float, digits: int = 1, step: float = 0.0) -> Draw:
    """Return how a figure is drawn that is found up to `off` wrong and left within a fifth of that."""

    def draw(dice: Random) -> Drawn:
        def say(value: float) -> str:
            rounded = round(value / step) * step if step else value
            return f"{max(rounded, 0.0):.{digits}f}"

        return say(right + dice.uniform(-off, off)), say(right + dice.uniform(-off, off) / 5)

    return draw


def _several(*each: Draw) -> Draw:
    def draw(dice: Random) -> Drawn:
        found, left = zip(*(one(dice) for one in each), strict=True)
        return " / ".join(found), " / ".join(left)

    return draw


def _kept(*values: str) -> Draw:
    """Something that is written down and left as it was."""

    def draw(dice: Random) -> Drawn:
        value = dice.choice(values)
        return value, value

    return draw


def _renewed(*worn: str, right: str) -> Draw:
    return lambda dice: (dice.choice(worn), right)


def _worn(least: float, most: float, *, digits: int, right: str) -> Draw:
    """Return how a measure of wear is drawn, and what it is after the repair."""
    return lambda dice: (f"{dice.uniform(least, most):.{digits}f}", right)


TURNS = _set(1.5, off=0.9, digits=2, step=0.25)
LEVEL = _set(14.0, off=2.0, digits=1, step=0.5)
ELEMENT = _set(48.0, off=4.0)
START_DEG = _set(0.0, off=1.0)
BY_START: dict[str, Draw] = {
    # carburettors and throttle bodies
    "Mixture screw, turns": TURNS,
    "Mixture screws": _several(TURNS, TURNS),
    "Idle stop screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Idle screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Curb idle screw": _set(1.25, off=0.7, digits=2, step=0.25),
    "Float level, mm": LEVEL,
    "Float level, mm, front": _several(LEVEL, LEVEL),
    "Float level, mm, closed": _several(_set(8.5, off=1.0, step=0.5), _set(15.0, off=1.5, step=0.5)),
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
    "Sensor voltage, throttle closed": _set(0.5, off=0.15, digits=2),
    "Sensor voltage, throttle wide": _set(4.5, off=0.3, digits=2),
    "Stop screw, sealed": _kept("sealed"),
    "Idle valve": _set(9.5, off=1.5),
    # ignition
    "Points gap": _set(0.38, off=0.15, digits=2),
    "Dwell": _set(54.0, off=8.0, digits=0),
    "Advance curve": _several(_set(2.0, off=1.5), _set(7.0, off=2.5), _set(12.0, off=3.0)),
    "Vacuum advance": _set(8.0, off=3.0),
    "Advance springs": _kept("one light, one heavy", "two alike"),
    "Shaft end float": _set(0.25, off=0.2, digits=2),
    "Impulse lag": _set(25.0, off=4.0, digits=0),
    "Advance travel": _set(20.0, off=4.0, digits=0),
    "Rotation as found": _kept("clockwise", "anticlockwise"),
    "Firing order": _kept("1-3-4-2", "1-2-4-3"),
    "Flange position": _set(0.0, off=2.0, step=0.5),
    "Shims under the base": _kept("0.5", "1.0"),
    # pumps, injectors and senders
    "Delivery at full load": _set(52.0, off=5.0),
    "Delivery of each element": _several(*[ELEMENT] * 4),
    "Start of delivery of each element": _several(START_DEG, *[_set(at, off=1.0) for at in (90, 180, 270)]),
    "Idle stop, mm": _set(6.0, off=2.0, step=0.5),
    "Full speed stop": _renewed("sealed", "seal broken", right="sealed"),
    "Full-load stop": _renewed("sealed", "seal broken", right="sealed"),
    "Governor cut-off": _set(2250.0, off=90.0, digits=0, step=10.0),
    "Timing, degrees": _set(0.0, off=1.5),
    "Advance, degrees at rated": _set(5.0, off=1.5),
    "Timing device": _set(6.0, off=1.5),
    "Rack travel": _set(10.5, off=0.6),
    "Idle and top speed": _several(
        _set(600.0, off=60.0, digits=0, step=10.0), _set(2200.0, off=90.0, digits=0, step=10.0)
    ),
    "Delivery pressure": _worn(9.0, 18.0, digits=0, right="28"),
    "Vacuum as found": _worn(15.0, 28.0, digits=0, right="40"),
    "Arm face wear": _worn(0.2, 0.9, digits=1, right="0.0"),
    "Outlet direction": _kept("90", "180"),
    "Resistance as found, ohm, float down": _set(10.0, off=4.0, digits=0),
    "Resistance as found, ohm, float up": _set(180.0, off=15.0, digits=0),
    "Arm length": _set(210.0, off=3.0, digits=0),
    "Float depth": _set(175.0, off=6.0, digits=0),
    "Pickup clearance": _set(12.0, off=4.0, digits=0),
    "Opening pressure": _several(*[_set(17_500.0, off=1200.0, digits=0, step=50.0)] * 4),
    "Shims, each": _several(*[_set(1.2, off=0.2, digits=2, step=0.05)] * 4),
    "Nozzle number": _kept("the same on all four"),
}
