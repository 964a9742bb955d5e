"""A change is drawn, written, read back and compared with what was asked, before it is judged.

What a reviewer gets is the file. So the text is read as any file is, and every surface in it is
held against the one that was asked for; the verdict is that of what was read. A difference is a
mistake of this program and never an answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra.constrain import Reader
from checker.algebra.linear import Rows
from checker.core.problems import BadInput, Problems
from checker.core.units import Amount, same
from checker.findings.checked import judged
from checker.findings.declared import with_declared
from checker.findings.lots import DrawnLot
from checker.measure.frames import SAME_M
from checker.site.read import site_of
from checker.site.write import changed_document
from checker.solve.carried import carried
from checker.solve.goal import goal_of
from checker.solve.ground import with_documents
from checker.solve.program import keeps_reserve
from checker.solve.redraw import redrawn

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from checker.algebra import nodes as n
    from checker.findings.checked import Checked
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Shape, Site, Surface
    from checker.solve.ground import OpenGround
    from checker.solve.layout import Piece
    from checker.solve.program import Program

_SAME_FRACTION: Final = 1e-9
_PLAIN: Final = (
    "id", "title", "material", "was", "stage", "section", "may_become", "is_fixed", "measured_by",
)  # fmt: skip


class DrawnChange:
    """A change as it stands in the written file.

    Attributes:
        text: The file.
        site: What was read from it, with the documents that will be handed in.
        faults: What differs from what was asked.
        to_settle: What somebody has to say anew, in words.
    """

    def __init__(
        self,
        text: str,
        site: Site,
        faults: tuple[str, ...],
        lot: DrawnLot | None = None,
        to_settle: tuple[str, ...] = (),
    ) -> None:
        self.text = text
        self.site = site
        self.faults = faults
        self.to_settle = to_settle
        self._lot = lot
        self._judged: dict[object, Checked] = {}

    def judged(
        self, ruleset: RuleSet, readings: Mapping[str, str], only: Sequence[str] = ()
    ) -> Checked:
        """The file judged under a way to read the rules; some of them alone where they are named.

        What was measured for one judging is not measured again for the next.
        """
        only = () if len(only) == len(ruleset.rules) else tuple(only)
        key = id(ruleset), tuple(sorted(readings.items())), only
        if key not in self._judged:
            found = judged(self.site, ruleset, readings, only, self._lot)
            self._judged[key] = found
            self._lot = found.sheet.lot if isinstance(found.sheet.lot, DrawnLot) else None
        return self._judged[key]


class DrawnChanges:
    """Draws changes of one design; each set of cuttings is drawn once.

    Args:
        ground: The design.
    """

    def __init__(self, ground: OpenGround) -> None:
        self._ground = ground
        self._known: dict[tuple[int, ...], DrawnChange] = {}

    def of(self, cuttings: tuple[int, ...], pieces: Sequence[Piece]) -> DrawnChange:
        """The file of a change, read back."""
        if cuttings not in self._known:
            self._known[cuttings] = self._draw(pieces)
        return self._known[cuttings]

    def _draw(self, pieces: Sequence[Piece]) -> DrawnChange:
        checked, goal = self._ground.checked, self._ground.goal
        before = checked.site
        if not pieces:
            lot = self._ground.sheets[0].lot
            as_drawn = with_documents(before, goal.to_be_on_file)
            known = lot if isinstance(lot, DrawnLot) else None
            return DrawnChange(before.document.text, as_drawn, (), known)
        made = carried(checked.survey, redrawn(before, pieces), pieces)
        asked, text = made.site, ""
        try:
            document = changed_document(before, asked)
            text = document.text
            read = site_of(document, before.file)
            read = with_declared(read, checked.ruleset, Problems())
            goal_of(read, checked.ruleset, must_be_open=False)
        except BadInput as error:
            faults = tuple(problem.says for problem in error.problems) or (str(error),)
            return DrawnChange(text, with_documents(asked, goal.to_be_on_file), faults)
        faults = (*differences(asked, read), *_unbuildable(pieces, self._ground))
        found = with_documents(read, goal.to_be_on_file)
        drawn: DrawnLot | None = None
        if "panels" in before.parts:
            drawn = self._ground.lot_of(found)
            faults = (*faults, *self._planes_apart(drawn, pieces))
        return DrawnChange(text, found, faults, drawn, made.to_settle)

    def _planes_apart(self, drawn: DrawnLot, pieces: Sequence[Piece]) -> tuple[str, ...]:
        from checker.measure.drainage.planes_apart import planes_apart

        changed = {piece.surface_id for piece in pieces}
        return planes_apart(self._ground.checked.survey, drawn.survey, changed)


def differences(asked: Site, read: Site) -> tuple[str, ...]:
    """Where a site that was read differs from the one that was asked for, in words."""
    found: list[str] = []
    names = [surface.id for surface in asked.surfaces]
    if names != [surface.id for surface in read.surfaces]:
        found.append("the surfaces of the file are not those that were asked for")
    if asked.order != read.order:
        found.append("the order of precedence is another one")
    others = {surface.id: surface for surface in read.surfaces}
    for surface in asked.surfaces:
        if surface.id in others:
            found += _differing(surface, others[surface.id])
    if not same(asked.lot.boundary.area, read.lot.boundary.area):
        found.append("the lot is of another size")
    found += [
        f"{one.id} lies elsewhere than before"
        for one, other in zip(asked.features, read.features, strict=True)
        if not _same_place(one.shape, other.shape)
    ]
    found += [
        f"{one.id} lies elsewhere than before"
        for one, other in zip(asked.regions, read.regions, strict=True)
        if not _same_place(one.shape, other.shape)
    ]
    found += [
        f"'{part}' reads otherwise than it was asked"
        for part in ("panels", "ways_out")
        if asked.parts.get(part) != read.parts.get(part)
    ]
    return tuple(found)


def _same_place(one: Shape, other: Shape) -> bool:
    return bool(one.equals_exact(other, SAME_M / 100, normalize=True))


def _differing(asked: Surface, read: Surface) -> Iterator[str]:
    for name in _PLAIN:
        if getattr(asked, name) != getattr(read, name):
            yield f"'{name}' of {asked.id} reads otherwise than it was asked"
    names = {*asked.attributes, *read.attributes}
    for name in sorted(names):
        one, other = asked.attributes.get(name), read.attributes.get(name)
        is_same = one == other
        if isinstance(one, Amount) and isinstance(other, Amount):
            is_same = one.dimension == other.dimension and same(one.value_si, other.value_si)
        if not is_same:
            yield f"'{name}' of {asked.id} reads otherwise than it was asked"
    if asked.shape.equals_exact(read.shape, SAME_M / 100, normalize=True):
        return
    apart_m2 = asked.shape.symmetric_difference(read.shape).area
    if apart_m2 > _SAME_FRACTION * max(asked.shape.area, 1.0):
        yield f"the outline of {asked.id} reads otherwise than it was asked"


def _unbuildable(pieces: Sequence[Piece], ground: OpenGround) -> Iterator[str]:
    """What breaks the goal's module or least width, measured on the drawing."""
    module_m, least_m = ground.goal.module_m, ground.goal.least_width_m
    for piece in pieces:
        if abs(piece.shape.area - piece.area_m2) > 1e-6 * max(piece.area_m2, 1.0) and not (
            piece.is_all
        ):
            yield f"a piece of {piece.surface_id} is not as large as it was reckoned"
        if piece.width_m is None:
            continue
        off_m = piece.width_m - round(piece.width_m / module_m) * module_m
        if abs(off_m) > SAME_M or piece.width_m < least_m - SAME_M:
            yield f"a band of {piece.surface_id} is off the module or too narrow"


class _Still:
    """A drawing in which nothing moves; see `checker.algebra.constrain_terms.Terms`."""

    def varies(self, named: n.Named) -> bool:  # noqa: ARG002 - the protocol's
        return False

    def definition(self, name: str) -> n.Number | None:  # noqa: ARG002 - the protocol's
        return None

    def limit(self, rule: str) -> n.Number | None:  # noqa: ARG002 - the protocol's
        return None


def short_of_reserve(after: Checked, program: Program) -> tuple[str, ...]:
    """The rules at whose limit a drawn change does not keep the reserve."""
    if program.goal.reserve is None:
        return ()
    found: list[str] = []
    passes = {"passes", "passes with conditions"}
    met = {f.rule for f in after.verdict.findings if f.status in passes}
    for rule in program.rules:
        if rule.id in program.said and rule.id in met:
            reader = Reader(Rows(), _Still(), after.sheet, program.reserve)  # type: ignore[arg-type]
            if not keeps_reserve(reader, program.ground.conditions[rule.id]):
                found.append(f"'{rule.title}' does not keep the reserve")
    return tuple(found)
