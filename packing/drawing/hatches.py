"""Which pattern stands for which material in a section? One for each kind, in the manner of ISO 128.

ISO 128 leaves materials to the trade: metal and board are hatched with straight lines at 45 degrees, soft
fill with its own shape. The patterns themselves are in `templates/drawing/_hatches.svg.html` under these
names.
"""

from packing.catalogue.schema import MaterialKind

HATCHES = {
    MaterialKind.PLANK.value: "foam",
    MaterialKind.BOARD_PAD.value: "board",
    MaterialKind.BALLED_PAPER.value: "balls",
    MaterialKind.FLAT_PAPER.value: "sheets",
    MaterialKind.BUBBLE.value: "bubbles",
    MaterialKind.AIR_PILLOW.value: "pillows",
    MaterialKind.LOOSE_FILL.value: "chips",
    MaterialKind.WADDING.value: "waves",
}
BLOCK, PAD, CORNERS = "block", "pad", "loose"
WORDS = {
    BLOCK: "glued board block",
    PAD: "folded board pad",
    CORNERS: "loose balls of paper in the corners",
}


def hatch_of(kind: str) -> str:
    """Return the pattern of a material's kind; balls of paper for one that is not known."""
    return HATCHES.get(kind, "balls")
