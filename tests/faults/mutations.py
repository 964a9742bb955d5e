"""Good files spoilt at random, as many as asked for: each is judged or refused in words.

    python -m tests.faults.mutations 100000        # a long run, with the counts of each kind
    python -m tests.faults.mutations 100000 7      # from another seed

A few hundred of them run with the tests. Beside reading, the whole way is gone: the verdict, and
for a part of the files the pages, the drainage, the sections and the sums.
"""

from __future__ import annotations

import json
import random
import shutil
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Final

from checker import api
from checker.core.problems import CheckerError
from checker.files.plain import plain_text
from checker.files.source import read_text
from checker.measure.drainage.rain import storm
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.papers.writing import reports_of
from checker.solve.costs import read_costs
from tests.test_mutations import LOT, spoilt_data, spoilt_text

ROOT: Final = Path(__file__).resolve().parents[2]
FILES: Final = Path(__file__).with_name("files")
_TIMES: Final = {"site text": 5, "rain": 3, "costs": 2}
"""The quick ones come more often."""

SLOWEST_S: Final = 30.0
"""More time of the processor than this is a hang; the clock says little on a busy machine."""


class Hangs(Exception):
    """A file that takes for ever."""


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


class Kinds:
    """The kinds of files, each with a call that spoils one and goes its whole way."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        samples = ROOT / "samples"
        for name in ("geojson-lot", "gis-lot", "dxf-lot"):
            if (samples / name).is_dir():
                shutil.copytree(samples / name, folder / name)
        court = _text(FILES / "far-edge-1e307.yaml").replace("1e307", "42")
        (folder / "court.yaml").write_text(court, encoding="utf-8")
        shutil.copy(FILES / "rain.csv", folder / "rain.csv")
        self.court = api.load_site(folder / "court.yaml", "court.yaml")
        self.rain = _text(FILES / "rain.csv")
        self.costs = _text(FILES / "costs.yaml").replace("9007199254740992", "24")
        self.sites = [
            LOT,
            court,
            *(_text(p) for p in sorted(samples.glob("fernhollow-*/site.yaml"))),
        ]
        self.data = [read_text(text, "x").data for text in self.sites]
        self.rules = [
            _text(ROOT / "jurisdictions" / f"{name}.yaml") for name in ("alder-ferry", "marl-ridge")
        ]
        self.drawings = [
            path
            for path in sorted(folder.rglob("*"))
            if path.suffix in {".dxf", ".geojson", ".gpkg", ".zip"}
        ]
        self.kinds: dict[str, Callable[[random.Random], None]] = {
            "site text": self.site_text, "site values": self.site_values, "rules": self.ruleset,
            "costs": self.cost_table, "rain": self.rain_table, "drawing": self.drawing,
        }  # fmt: skip

    def judged(self, path: Path, chance: random.Random) -> None:
        site = api.load_site(path, path.name)
        checked = api.check(site, api.load_ruleset_for(site))
        if chance.random() < 0.1:
            for text in reports_of(checked).values():
                text.encode("utf-8")
            api.drainage_text(checked)
            api.sections_text(checked)
            api.take_off(checked)

    def site_text(self, chance: random.Random) -> None:
        path = self.folder / "spoilt.yaml"
        path.write_text(spoilt_text(chance.choice(self.sites), chance), "utf-8", "surrogatepass")
        self.judged(path, chance)

    def site_values(self, chance: random.Random) -> None:
        path = self.folder / "spoilt.yaml"
        path.write_text(plain_text(spoilt_data(chance.choice(self.data), chance)), "utf-8")
        self.judged(path, chance)

    def ruleset(self, chance: random.Random) -> None:
        path = self.folder / "rules.yaml"
        text = chance.choice(self.rules)
        if chance.random() < 0.5:
            text = spoilt_text(text, chance)
        else:
            text = json.dumps(spoilt_data(read_text(text, "x").data, chance), default=str)
        path.write_text(text, "utf-8", "surrogatepass")
        ruleset = api.load_ruleset(str(path))
        api.describe_ruleset(ruleset)
        if chance.random() < 0.3:
            api.try_examples(ruleset)
        api.check(self.court, ruleset)

    def cost_table(self, chance: random.Random) -> None:
        read_costs(read_text(spoilt_text(self.costs, chance), "costs.yaml"))

    def rain_table(self, chance: random.Random) -> None:
        path = self.folder / "rain.csv"
        path.write_text(spoilt_text(self.rain, chance), "utf-8", "surrogatepass")
        try:
            storm(Survey(self.court, built_in(), {}), "design")
        finally:
            path.write_text(self.rain, "utf-8")

    def drawing(self, chance: random.Random) -> None:
        path = chance.choice(self.drawings)
        raw = path.read_bytes()
        spoilt = bytearray(raw)
        for _ in range(chance.randint(1, 8)):
            at = chance.randrange(len(spoilt))
            way = chance.random()
            if way < 0.6:
                spoilt[at] = chance.randrange(256)
            elif way < 0.8:
                del spoilt[at : at + chance.randint(1, 20)]
            else:
                spoilt[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 9)))
        path.write_bytes(bytes(spoilt))
        try:
            name = "shapefile.yaml" if path.suffix == ".zip" else "site.yaml"
            api.load_site(path.parent / name, name)
        finally:
            path.write_bytes(raw)


def run(count: int, seed: int, *, tells: bool = False) -> tuple[Counter[str], list[str]]:
    """Spoil so many files.

    Returns:
        How many of each kind were judged and refused, and what went wrong.
    """
    found: Counter[str] = Counter()
    wrong: list[str] = []

    def hangs(_number: int, _frame: object) -> None:
        raise Hangs

    before = signal.signal(signal.SIGPROF, hangs)
    with tempfile.TemporaryDirectory() as place:
        kinds = Kinds(Path(place))
        names = [name for name in kinds.kinds for _ in range(_TIMES.get(name, 1))]
        for number in range(count):
            name = names[number % len(names)]
            chance = random.Random(f"{seed} {number}")
            signal.setitimer(signal.ITIMER_PROF, SLOWEST_S)
            try:
                kinds.kinds[name](chance)
                found[f"{name}: judged"] += 1
            except CheckerError as refused:
                found[f"{name}: refused" if str(refused).strip() else f"{name}: silent"] += 1
            except Exception:
                wrong.append(f"{name}, mutation {number} of seed {seed}\n{traceback.format_exc()}")
                found[f"{name}: wrong"] += 1
                if tells:
                    print(wrong[-1], flush=True)  # noqa: T201
            finally:
                signal.setitimer(signal.ITIMER_PROF, 0)
            if tells and (number + 1) % 5000 == 0:
                print(f"{number + 1:,}: {len(wrong)} wrong", flush=True)  # noqa: T201
    signal.signal(signal.SIGPROF, before)
    return found, wrong


def main() -> None:
    """Run as a command."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    found, wrong = run(count, seed, tells=True)
    for name, number in sorted(found.items()):
        print(f"{number:8,} {name}")  # noqa: T201
    print(f"{len(wrong)} of {count:,} went wrong")  # noqa: T201
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
