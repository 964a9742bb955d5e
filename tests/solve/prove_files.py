"""What is told of a change, the file that is written, and what is told of that file.

Run it from the top of a checkout: `python -m tests.solve.prove_files 300`, or `30 1000 command` to
go the whole way by the command line, from seed 1000 on. Each lot is random; see `lots.py`. Of every
option the file is read again: verdict, areas and costs must be those that were told, `compare` must
say the same, entries that do not change must stand there to the letter, and a second search must
find nothing left to do. And no design that changes whole surfaces, tried one by one as files, may
meet the rules for less.
"""

from __future__ import annotations

import itertools
import json
import math
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from checker import api
from checker.algebra.nodes import Named
from checker.core.problems import BadInput
from checker.files.plain import plain_text
from checker.files.source import read_text
from checker.findings.checked import Checked
from checker.solve.measures import is_met
from checker.solve.options import Option, Options
from tests.solve.lots import FileLot, file_lot, file_rules
from tests.solve.made import RULES_HEAD, SQ_FT_M2

MOST_DESIGNS = 64
SLOW_S = 20.0
COUNTED = ("cover", "hard", "green")


def prove(seed: int, folder: Path, seen: Counter[str]) -> list[str]:
    """What is wrong with a lot, in words; empty where nothing is.

    Args:
        seed: Of the lot.
        folder: Where its files are put.
        seen: What became of the lots is counted there.
    """
    lot = file_lot(seed)
    try:
        checked = put(seed, lot, folder)
        options = api.least_change(checked)
    except BadInput as error:
        seen[re.sub(r"^.*?: ", "", str(error).splitlines()[-1])[:70]] += 1
        return []
    seen["with options" if options.options else "without"] += 1
    wrong: list[str] = []
    for option in options.options:
        seen["option"] += 1
        if option.faults:
            wrong.append(f"{option.key}: a mistake of the program: {option.faults}")
        else:
            says = written_wrongly(lot, checked, options, option)
            wrong += [f"{option.key}: {each}" for each in says]
    return wrong + list(cheaper(lot, checked, options, seen))


def put(seed: int, lot: FileLot, folder: Path) -> Checked:
    """A lot and its rules as files, judged."""
    path = folder / "site.yaml"
    path.write_text(lot.text, encoding="utf-8")
    if lot.costs:
        (folder / "costs.yaml").write_text(lot.costs, encoding="utf-8")
    rules = folder / "rules.yaml"
    rules.write_text(RULES_HEAD + file_rules(seed, 5000, 5000, 5000), encoding="utf-8")
    cover, hard, green = (_counted_m2(judged(path), name) / SQ_FT_M2 for name in COUNTED)
    rules.write_text(RULES_HEAD + file_rules(seed, cover, hard, green), encoding="utf-8")
    return judged(path)


def judged(path: Path) -> Checked:
    """A file, judged under its own rules."""
    site = api.load_site(path)
    return api.check(site, api.load_ruleset_for(site))


def written_wrongly(
    lot: FileLot, checked: Checked, options: Options, option: Option
) -> Iterator[str]:
    """What the file of an option says otherwise than it was told."""
    path = checked.site.file.with_name("new.yaml")
    path.write_text(option.text, encoding="utf-8")
    after = judged(path)
    told, found = (
        {f.rule: f.status for f in design.verdict.findings} for design in (option.after, after)
    )
    if told != found:
        yield f"told {told}, found {found}"
    if option.is_met and not all(map(is_met, after.verdict.findings)):
        yield "it was told that it is met"
    yield from touched(lot, option)
    for name in COUNTED:
        one, other = _counted_m2(option.after, name), _counted_m2(after, name)
        if abs(one - other) > 1e-7:
            yield f"{name} is {other} m2, told {one}"
    yield from other_cost(lot, checked, option, after)
    if option.is_met and not options.goal.counts_savings:
        try:
            again = api.least_change(after).best
        except BadInput:
            return  # nothing in it may change any more
        if again is None or again.pieces:
            yield f"asked again: {again and [p.way.says for p in again.pieces]}"


def _counted_m2(design: Checked, name: str) -> float:
    return design.sheet.number(Named(name)).high_si


def other_cost(lot: FileLot, checked: Checked, option: Option, after: Checked) -> Iterator[str]:
    """Where a comparison tells another price of the work than the search."""
    before_cents, after_cents = api.compare_designs([checked, after], ["a", "b"]).cents
    if before_cents is None or after_cents is None:
        yield "a comparison knows no price"
        return
    # Each outline is told to a tenth of a square foot, or a hundredth of a square metre.
    step_cents = max(map(max, lot.prices.values())) / (100 if lot.priced_by == "m2" else 10)
    if abs(after_cents - before_cents - option.cents) > step_cents * (2 * len(option.pieces) + 2):
        yield (
            f"a comparison tells {(after_cents - before_cents) / 100:.2f}, "
            f"the search {option.cents / 100:.2f}"
        )


def touched(lot: FileLot, option: Option) -> Iterator[str]:
    """What of the file is another besides the surfaces that change."""
    changed = {piece.surface_id for piece in option.pieces}
    if "pool" in changed:
        changed.add("coping")
    if not option.text.startswith(lot.head):
        yield "the head is touched"
    at = 0
    for block in lot.blocks:
        if block.name in changed:
            remarks = re.findall(r"# .*", block.text)
            yield from (f"'{says}' is lost" for says in remarks if says not in option.text)
            continue
        found = option.text.find(block.text, at)
        if found < 0:
            yield f"the entry of {block.name} is touched, or stands elsewhere"
        at = max(at, found)
    old, new = read_text(lot.text, "old.yaml").data, read_text(option.text, "new.yaml").data
    names = [entry["id"] for entry in new["surfaces"]]
    gone = {name for name in changed if name not in names}
    others = old.keys() - {"surfaces", "order", *(["goal"] if gone else [])}
    others -= {"panels"} if changed else set()  # theirs go along with the surfaces
    yield from (f"'{key}' is touched" for key in sorted(others) if old[key] != new.get(key))
    moves = ("order:", "may_be_removed:", *(f"{name}:" for name in gone))
    moves = (*moves, *(f"- {{on: {name}," for name in changed))
    moves = (*moves, "panels:") if changed else moves
    moves = (*moves, "surfaces:") if gone else moves
    kept = [line for line in lot.tail.splitlines() if not line.lstrip().startswith(moves)]
    lines = option.text.splitlines()
    yield from (f"the line '{line}' is touched" for line in kept if line not in lines)


def cheaper(lot: FileLot, checked: Checked, options: Options, seen: Counter[str]) -> Iterator[str]:
    """A design that changes whole surfaces, meets the rules and costs less than what was found."""
    goal, site = options.goal, checked.site
    pads = [s for s in site.surfaces if goal.is_open(s) and goal.way(s.id).change != "bays"]
    # Where others lie over a pad, what is seen of it may change with what it is made of.
    pads = [
        pad for pad in pads
        if not any(o.id != pad.id and o.shape.intersects(pad.shape) for o in site.surfaces)
    ]  # fmt: skip
    ways = [[None, *(m.id for m in pad.may_become if m != pad.material)] for pad in pads]
    if goal.reserve is not None or math.prod(map(len, ways)) > MOST_DESIGNS:
        return
    found = {option.key: option for option in options.options if option.is_met}
    told = math.inf
    if "least-cost" in found:
        told = sum(p.cents if goal.counts_savings else max(p.cents, 0)
                   for p in found["least-cost"].pieces)  # fmt: skip
    data = read_text(lot.text, "old.yaml").data
    path = site.file.with_name("other.yaml")
    area_m2 = checked.survey.partition("proposed").visible_m2
    for design in itertools.product(*ways):
        changed = {p.id: m for p, m in zip(pads, design, strict=True) if m is not None}
        each = [cents_of(lot, p, changed[p.id], area_m2[p.id]) for p in pads if p.id in changed]
        cents = sum(own if goal.counts_savings else max(own, 0) for own in each)
        if not changed or cents >= told:
            continue
        seen["judged beside"] += 1
        path.write_text(plain_text(with_changed(data, changed)), encoding="utf-8")
        findings = judged(path).verdict.findings
        if all(is_met(f, conditions=goal.accepts_conditions) for f in findings):
            yield f"{changed} meets the rules for ${cents / 100:.2f}, told ${told / 100:.2f}"
            return


def cents_of(lot: FileLot, pad: Any, material: str, area_m2: float) -> int:
    """What it costs beyond the design to change all of a surface, by plain arithmetic."""
    parts, size_m2 = (100, 1.0) if lot.priced_by == "m2" else (10, SQ_FT_M2)
    steps = math.floor(round(area_m2 / size_m2 * parts, 6) + 0.5)

    def of(name: str, place: int) -> int:
        return math.floor(steps * lot.prices[name][place] / parts + 0.5)

    if pad.stage == "existing":
        return of(pad.material.id, 1) + of(material, 0)
    if pad.stage == "replaced" and material == pad.was.id:
        return -of(pad.material.id, 0) - of(pad.was.id, 1)
    return of(material, 0) - of(pad.material.id, 0)


def with_changed(data: dict[str, Any], changed: dict[str, str]) -> dict[str, Any]:
    """The data of a site with whole surfaces in other materials."""
    entries = []
    for entry in data["surfaces"]:
        own = dict(entry)
        new = changed.get(own["id"])
        if new is not None:
            stays = {k: v for k, v in own.get("attributes", {}).items() if k != "roughness"}
            if new == "lawn" and "purpose" in stays:
                stays["purpose"] = "other"
            built = data.get("goal", {}).get("as_built", {}).get(new, {})
            was = own.pop("was", own["material"])
            if own.get("stage", "existing") == "existing":
                was = own["material"]
            if own.get("stage") != "proposed":
                own["stage"] = "existing" if new == was else "replaced"
                own |= {"was": was} if new != was else {}
            own |= {"material": new, "attributes": stays | built}
            own.pop("may_become")
        entries.append(own)
    return {**data, "surfaces": entries}


def prove_by_command(seed: int, folder: Path, seen: Counter[str]) -> list[str]:
    """The same of the best option, by the commands that a person types."""
    lot = file_lot(seed)
    try:
        put(seed, lot, folder)
    except BadInput:
        return []
    wrong: list[str] = []
    new, out = folder / "new.yaml", folder / "out"
    code, said = command(folder, "change", "site.yaml", "--write", "new.yaml", "--out", "out")
    if code == 2:
        seen["refused"] += 1
        return ["refused with a file written"] if new.exists() else []
    told = json.loads((out / "change.json").read_text(encoding="utf-8"))
    open_keys = ("unmet", "still_open", "fails_if", "faults")
    best = next((o for o in told["options"] if not any(o[key] for key in open_keys)), None)
    seen["met" if best else "not met"] += 1
    if (code == 0) != (best is not None):
        wrong.append(f"change ends with {code}, and options {bool(best)}")
    if not new.exists():
        return wrong if best is None else [*wrong, "nothing is written"]
    checks, judged_says = command(folder, "check", "new.yaml")
    if (checks == 0) != (best is not None):
        wrong.append(f"check ends with {checks}: {judged_says[:200]}")
    compares, compared = command(folder, "compare", "site.yaml", "new.yaml")
    if compares:
        wrong.append(f"compare ends with {compares}: {compared[:200]}")
    again, says = command(folder, "change", "new.yaml")
    settled = says.startswith(("NOTHING NEEDS", "NO SURFACE")) or again == 2
    if best is not None and "savings: counted" not in lot.tail and not settled:
        wrong.append(f"asked again: {again} {says[:200]}")
    if "Traceback" in said + judged_says + compared + says:
        wrong.append("a traceback")
    return wrong


def command(folder: Path, *arguments: str) -> tuple[int, str]:
    """A command's exit code, and all that it prints as one line."""
    done = subprocess.run(
        [sys.executable, "-m", "checker", *arguments],
        cwd=folder, capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    return done.returncode, " ".join((done.stdout + done.stderr).split())


def main() -> None:
    """Prove as many lots as are asked for, and print the counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    proves = prove_by_command if sys.argv[3:] == ["command"] else prove
    wrong, start_s = 0, time.monotonic()
    seen: Counter[str] = Counter()
    for seed in range(first, first + count):
        began_s = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            try:
                says = proves(seed, Path(folder), seen)
            except Exception as error:
                says = [f"{type(error).__name__}: {error}"]
        if time.process_time() - began_s > SLOW_S:
            says.append(f"it took {time.process_time() - began_s:.0f} s")
        if says:
            wrong += 1
            print(f"seed {seed}: {'; '.join(says)}", flush=True)  # noqa: T201
    took_s = time.monotonic() - start_s
    print(f"{count} lots, {wrong} wrong, {took_s:.0f} s; {dict(seen)}")  # noqa: T201


if __name__ == "__main__":
    main()
