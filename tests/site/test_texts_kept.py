"""What a person wrote stays: random texts of a site file, changed, and held against the old one."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from shapely import box
from shapely.affinity import translate

from checker.core.records import replace
from checker.files.source import read_text
from checker.site.materials import materials
from checker.site.model import Site
from checker.site.read import site_of
from tests.site.cases import changed_text

ENDINGS = ("plain", "with: colon", "[bracket", "ümläut", '"quote', "- dash", "#twice", "it's")
SHAPES = {
    "house": ("rectangle", "[5, 5]", "[40, 30]"),
    "patio": ("rectangle", "[10, 50]", "[30, 20]"),
    "walk": ("points", "[60, 50]", "[70, 50]", "[70, 80]", "[60, 80]"),
}
HEAD = (
    "format: site/1", "place: alder-ferry", "units: ft", "rest_of_lot: lawn",
    "none_found: [well, septic-tank]", "facts: {zone: R-1}",
)  # fmt: skip
BLOCKS, EACH = 8, 25


class Writing:
    """A site file as some person may write it: remarks anywhere, block style and brackets."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.remarks: list[str] = []
        self.lines: list[str] = []
        self.gap = self.rng.choice([" ", "   ", "\t"])

    def remark(self, share: float = 0.4) -> str:
        if self.rng.random() >= share:
            return ""
        self.remarks.append(f"# {len(self.remarks)}: {self.rng.choice(ENDINGS)}")
        return self.remarks[-1]

    def put(self, line: str) -> None:
        """A line, with a remark behind it or above it now and then, or a blank line."""
        pad = " " * (len(line) - len(line.lstrip(" ")))
        if self.rng.random() < 0.1:
            self.lines.append("")
        above, behind = self.remark(0.15), self.remark(0.3)
        self.lines += [pad + above] if above else []
        self.lines.append(line + (self.gap + behind if behind else ""))

    def text(self) -> str:
        for line in HEAD:
            self.put(line)
        self.put(
            self.rng.choice(["title: Plain", "title: 'Quoted: # yes'", 'title: "Größe – lot"'])
        )
        self.put("lot:")
        self.put("  boundary: {points: [[0, 0], [100, 0], [100, 100], [0, 100]]}")
        self.put("  sides: {front: [1], rear: [3]}")
        self.put("surfaces:")
        for name in SHAPES:
            self.entry(name)
        if self.rng.random() < 0.6:
            self.put("goal:")
            self.put("  find: least cost")
            self.put("  may_be_removed: [patio]")
            self.put("  surfaces:")
            self.put("    patio: {change: whole}")
            self.put("    walk: {change: whole}")
        found = "\n".join(self.lines) + ("\n" if self.rng.random() < 0.7 else "")
        if self.rng.random() < 0.3:
            found = found.replace("\n", "\r\n")
        return ("\ufeff" if self.rng.random() < 0.2 else "") + found

    def entry(self, name: str) -> None:
        material = {"house": "roof", "patio": "stone-slab", "walk": "concrete-slab"}[name]
        keys = [("material", material), ("shape", "")]
        keys += [("fixed", "yes")] if name == "house" else [("may_become", "[lawn, gravel]")]
        if self.rng.random() < 0.4:
            keys.append(("title", self.rng.choice(["Größe", '"a: b"', "'x # no remark'"])))
        if self.rng.random() < 0.4:
            keys.append(("attributes", "{use: pedestrian}"))
        self.rng.shuffle(keys)
        keys.insert(self.rng.choice([0, 0, len(keys)]), ("id", name))
        style = self.rng.choice(["block", "block", "brackets", "brackets over lines"])
        kind, *corners = SHAPES[name]
        named = [f"corner: {corners[0]}", f"size: {corners[1]}"] if kind != "points" else []
        flow = f"{{{kind}: {'{' if named else '['}{', '.join(named or corners)}"
        flow += "}}" if named else "]}"
        pairs = [(key, value or flow) for key, value in keys]
        if style == "brackets":
            self.put(f"  - {{{', '.join(f'{key}: {value}' for key, value in pairs)}}}")
        elif style == "brackets over lines":
            self.put("  - {")
            for key, value in pairs:
                self.put(f"      {key}: {value},")
            self.put("    }")
        else:
            for index, (key, value) in enumerate(pairs):
                lead = "    " if index else "  - "
                if key != "shape" or self.rng.random() < 0.5:
                    self.put(f"{lead}{key}: {value}")
                    continue
                self.put(f"{lead}shape:")
                self.put(f"      {kind}:")
                for line in named or [f"- {corner}" for corner in corners]:
                    self.put(f"        {line}")


def changed(site: Site, rng: random.Random) -> Site:
    """Some surfaces of another material, moved, cut in two or taken out."""
    lawn = materials()["lawn"]
    found = []
    for surface in site.surfaces:
        what = rng.choice(["stays", "whole", "cut", "moved", "goes"])
        if what == "stays" or surface.id == "house":
            found.append(surface)
        elif what == "whole":
            found.append(replace(surface, material=lawn, was=surface.material, stage="replaced"))
        elif what == "moved":
            found.append(replace(surface, shape=translate(surface.shape, 1.0, 0.5)))
        elif what == "cut":
            x0, y0, x1, y1 = surface.shape.bounds
            found.append(replace(surface, shape=box(x0 + 1.5, y0, x1, y1)))
            found.append(
                replace(
                    surface, id=f"{surface.id}-lawn", title="Gärten, lawn", material=lawn,
                    was=surface.material, stage="replaced", shape=box(x0, y0, x0 + 1.5, y1),
                    may_become=(),
                )
            )  # fmt: skip
    names = [surface.id for surface in found]
    kept = [name for name in site.order if name in names]
    order = (*kept, *(name for name in names if name not in kept))
    return replace(site, surfaces=tuple(found), order=order)


@pytest.mark.parametrize("block", range(BLOCKS))
def test_every_remark_and_line_end_stays(block: int) -> None:
    for seed in range(block * EACH, (block + 1) * EACH):
        writing = Writing(seed)
        old = writing.text()
        before = site_of(read_text(old, "lot.yaml"), Path("lot.yaml"))
        after = changed(before, writing.rng)
        new = changed_text(before, after)
        lost = [remark for remark in writing.remarks if remark not in new]
        assert not lost, (seed, lost, old, new)
        assert new.startswith("\ufeff") == old.startswith("\ufeff"), seed
        if "\r\n" in old:
            assert "\n" not in new.replace("\r\n", ""), seed
        read = site_of(read_text(new, "lot.yaml"), Path("lot.yaml"))
        assert [s.id for s in read.surfaces] == [s.id for s in after.surfaces], seed
        for asked, found in zip(after.surfaces, read.surfaces, strict=True):
            assert (asked.material, asked.stage, asked.was, asked.title, asked.may_become) == (
                found.material, found.stage, found.was, found.title, found.may_become,
            ), seed  # fmt: skip
            assert asked.shape.equals_exact(found.shape, 1e-8, normalize=True), seed


def test_what_does_not_change_keeps_its_lines() -> None:
    for seed in range(40):
        writing = Writing(seed)
        old = writing.text()
        before = site_of(read_text(old, "lot.yaml"), Path("lot.yaml"))
        walk = next(surface for surface in before.surfaces if surface.id == "walk")
        lawn = replace(walk, material=materials()["lawn"], was=walk.material, stage="replaced")
        others = tuple(lawn if surface.id == "walk" else surface for surface in before.surfaces)
        new = changed_text(before, replace(before, surfaces=others))
        first = old[: old.index("id: walk")].rpartition("\n")[0].rpartition("- ")[0]
        assert new.startswith(first[: first.rfind("id: patio")]), seed
