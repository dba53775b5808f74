"""Forms as outlines, all to one scale: from what they measure across and in height, and from what they are for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import cycle

from footring.records.models import Stored
from footring.web.pages.reference.called import measured

WIDEST = 200.0
"""Pixels of the widest piece on a page; all others are drawn to its scale."""
LARGEST_SCALE = 1.0
_EDGE = 2.0
"""Millimetres left free round an outline, for the width of its stroke."""


@dataclass(frozen=True)
class Outline:
    """One size of a form, drawn; `met` is how many pieces of it were met, None where nobody counts them."""

    form: Stored
    size: Stored
    paths: list[str]
    box: str
    width: str
    height: str
    met: int | None

    @property
    def trade(self) -> str:
        """What the trade calls the size; what it measures where it has no such name."""
        return self.size.trade_size or measured(self.size)


def outline(form: Stored, size: Stored, scale: float, met: int | None = None) -> Outline:
    """A form in one size, at so many pixels a millimetre."""
    w, h = size.across_mm, size.high_mm
    words = f"{form.kind or ''} {form.name}".casefold()
    shares, beside = next((shares, beside) for kinds, shares, beside in _SHAPES if any(kind in words for kind in kinds))
    left, right = (share * w for share in beside)
    wide, high = left + w + right + 2 * _EDGE, h + 2 * _EDGE
    box = f"{-left - _EDGE:.0f} {-_EDGE:.0f} {wide:.0f} {high:.0f}"
    paths = [_path(one, w, h) for one in shares]
    return Outline(form, size, paths, box, f"{wide * scale:.0f}", f"{high * scale:.0f}", met)


_KNOB = "M .46 .12 C .42 .05 .44 0 .5 0 C .56 0 .58 .05 .54 .12"
_HANDLE = "M .98 .16 C 1.36 .12 1.36 .7 .94 .68"
_BOWL = "M 0 0 C .02 .55 .2 .93 .33 .93 L .33 1 L .67 1 L .67 .93 C .8 .93 .98 .55 1 0 Z"
_FLAT = (
    "M 0 .05 C .12 .1 .16 .85 .3 .9 L .3 1 L .7 1 L .7 .9 C .84 .85 .88 .1 1 .05 "
    "L .97 0 C .85 .05 .82 .6 .7 .62 L .3 .62 C .18 .6 .15 .05 .03 0 Z"
)
_COVERED = (
    "M 0 .45 C .03 .75 .2 .95 .34 .95 L .34 1 L .66 1 L .66 .95 C .8 .95 .97 .75 1 .45 Z",
    "M .03 .42 C .15 .15 .4 .13 .46 .12 L .54 .12 C .6 .13 .85 .15 .97 .42 Z",
    _KNOB,
)
_LID = (
    "M 0 1 C .1 .45 .4 .3 .46 .28 L .54 .28 C .6 .3 .9 .45 1 1 Z",
    "M .46 .28 C .42 .1 .44 0 .5 0 C .56 0 .58 .1 .54 .28",
)
_CUP = ("M 0 0 C 0 .6 .16 .9 .32 .93 L .3 1 L .7 1 L .68 .93 C .84 .9 1 .6 1 0 Z", _HANDLE)
_MUG = ("M 0 0 L .03 1 L .97 1 L 1 0 Z", "M 1 .18 C 1.42 .16 1.42 .78 .98 .78")
_JUG = (
    (
        "M -.02 .02 L .12 .12 C .2 .3 0 .42 0 .66 C 0 .9 .16 .97 .24 1 "
        "L .76 1 C .84 .97 1 .9 1 .66 C 1 .42 .8 .3 .84 .06 Z"
    ),
    "M .85 .12 C 1.28 .08 1.26 .72 .98 .72",
)
_JAR = (
    (
        "M .12 .2 C 0 .24 0 .3 0 .36 L .02 .94 C .04 1 .1 1 .14 1 "
        "L .86 1 C .9 1 .96 1 .98 .94 L 1 .36 C 1 .3 1 .24 .88 .2 Z"
    ),
    "M .1 .19 C .14 .1 .4 .1 .45 .1 L .55 .1 C .6 .1 .86 .1 .9 .19 Z",
    _KNOB,
)
_POT = (
    "M .2 .18 C 0 .3 0 .85 .28 .95 L .28 1 L .72 1 L .72 .95 C 1 .85 1 .3 .8 .18 Z",
    "M .2 .17 C .3 .1 .42 .1 .46 .1 L .54 .1 C .58 .1 .7 .1 .8 .17 Z",
    _KNOB,
    "M .07 .6 C -.16 .55 -.1 .25 -.24 .18",
    "M .9 .3 C 1.28 .24 1.28 .78 .9 .72",
)
_SHAPES = (
    (("covered", "tureen", "sugar box", "butter"), _COVERED, (0.0, 0.0)),
    (("lid", "cover"), _LID, (0.0, 0.0)),
    (("teapot", "coffee pot", "coffeepot", "hot water pot"), _POT, (0.26, 0.22)),
    (("jug", "pitcher", "creamer"), _JUG, (0.03, 0.22)),
    (("mug", "tankard", "beaker"), _MUG, (0.0, 0.33)),
    (("jar", "canister", "vase", "pot"), _JAR, (0.0, 0.0)),
    (("saucer", "plate", "platter", "tray", "stand"), (_FLAT,), (0.0, 0.0)),
    (("cup",), _CUP, (0.0, 0.28)),
    (("",), (_BOWL,), (0.0, 0.0)),
)
"""Words of a kind, its outline in shares of the width and the height, and how far it reaches beyond to either side."""


def _path(shares: str, w: float, h: float) -> str:
    """A path given in shares of the width and the height, in millimetres."""
    sides = cycle((w, h))
    return " ".join(word if word.isalpha() else f"{float(word) * next(sides):.1f}" for word in shares.split())


def outlines(sizes: Iterable[Stored], met: dict[str, int] | None) -> list[Outline]:
    """Every size that was measured both ways, the widest first; `met` are pieces by form, where somebody counts."""
    drawn = [size for size in sizes if size.across_mm is not None and size.high_mm is not None]
    scale = min(LARGEST_SCALE, WIDEST / max((max(one.across_mm, one.high_mm) for one in drawn), default=WIDEST))
    drawn.sort(key=lambda size: (-size.across_mm, size.form.name))
    counted = {one.form_id: None if met is None else met.get(one.form_id, 0) for one in drawn}
    return [outline(size.form, size, scale, counted[size.form_id]) for size in drawn]
