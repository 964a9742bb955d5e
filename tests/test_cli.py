"""Commands as a person types them: what they print, what they leave, how they end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checker.cli.main import run as run_command
from checker.cli.table import COMMANDS, RULES

BEFORE = "samples/fernhollow-before/site.yaml"
AFTER = "samples/fernhollow-after/site.yaml"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = run_command(list(arguments))
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_help_fits_eighty_columns(capsys: pytest.CaptureFixture[str]) -> None:
    commands = [[], ["rules"], *([entry.name] for entry in COMMANDS)]
    commands += [["rules", entry.name] for entry in RULES]
    for command in commands:
        code, out, _ = run(capsys, *command, "--help")
        assert code == 0
        assert out.startswith("Usage: soakline")
        assert max(len(line) for line in out.splitlines()) <= 80


def test_a_lot_that_meets_every_rule(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, err = run(capsys, "check", AFTER, "--out", str(tmp_path / "r"))
    assert (code, err) == (0, "")
    assert "4,228 sq ft" in out
    assert max(len(line) for line in out.splitlines() if str(tmp_path) not in line) <= 80
    written = {path.name for path in (tmp_path / "r").iterdir()}
    assert {"report.html", "report.md", "findings.json"} <= written


def test_a_lot_that_fails(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = run(capsys, "check", BEFORE, "--out", str(tmp_path))
    assert code == 1
    assert "142 sq ft" in out
    findings = json.loads((tmp_path / "findings.json").read_text(encoding="utf-8"))
    assert findings["format"] == "findings/1"


@pytest.fixture
def unmeasured(tmp_path: Path) -> Path:
    """A lot with permeable paving of which nobody measured the rate."""
    text = Path(AFTER).read_text(encoding="utf-8")
    path = tmp_path / "site.yaml"
    text = text.replace(", infiltration_rate: 80 in/h, run_on: 0.8", "")
    path.write_text(text.replace("size: [52, 46]", "size: [56, 46]"), encoding="utf-8")
    return path


def test_what_cannot_be_told_is_no_pass(
    capsys: pytest.CaptureFixture[str], unmeasured: Path
) -> None:
    code, out, _ = run(capsys, "check", str(unmeasured), "--no-report")
    assert code == 1
    assert "cannot tell" in out
    assert "infiltration_rate" in out
    code, _, _ = run(capsys, "check", str(unmeasured), "--no-report", "--allow-unknown")
    assert code == 0


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["check", "nowhere.yaml"], "nowhere.yaml: does not exist"),
        (["check", "README.md"], "README.md:"),
        (["check"], "Missing argument 'SITE'"),
        (["chekc"], "No such command 'chekc'"),
        (["check", BEFORE, "--place", "alder-fery"], "did you mean 'alder-ferry'?"),
        (["rules", "show", "nowhere"], "there is no rule set 'nowhere'"),
        (["new", "x.yaml", "--units", "furlong"], "furlong"),
    ],
)
def test_wrong_input_ends_with_two_and_no_traceback(
    capsys: pytest.CaptureFixture[str], arguments: list[str], says: str
) -> None:
    code, out, err = run(capsys, *arguments)
    assert code == 2
    assert says in err
    assert "Traceback" not in out + err


@pytest.mark.parametrize(
    ("line", "arguments"),
    [
        ("title: Fernhollow pool terrace, first drawing", ["check", "--no-report"]),
        ("title: Fernhollow pool terrace, first drawing", ["sections"]),
        ("title: Fernhollow pool terrace, first drawing", ["drainage"]),
        ("place: alder-ferry", ["check", "--no-report"]),
        ("place: alder-ferry", ["packet"]),
    ],
)
def test_no_text_of_a_file_steers_the_screen(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, line: str, arguments: list[str]
) -> None:
    key = line.partition(":")[0]
    text = Path(BEFORE).read_text(encoding="utf-8")
    assert line in text
    hostile = f'{key}: "a\\e[31m\\x07\\x9b2J\\rPASSES\\u202e\\n# forged"'
    path = tmp_path / "site.yaml"
    path.write_text(text.replace(line, hostile), encoding="utf-8")
    _, out, err = run(capsys, arguments[0], str(path), *arguments[1:])
    printed = out + err
    assert "PASSES" in printed
    assert "\n# forged" not in printed
    assert all(sign.isprintable() for sign in printed.replace("\n", ""))


def test_a_line_break_in_the_name_of_a_file_forges_no_message(
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, _, err = run(capsys, "check", "lot\nPASSES\x1b[31m.yaml")
    assert err.splitlines()[1].startswith("  lot\\nPASSES\\x1b[31m.yaml: does not exist")


def test_what_is_in_doubt_in_the_drawing_is_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "site.yaml"
    path.write_text(
        "format: site/1\ntitle: Feet on metres\nplace: alder-ferry\nunits: m\n"
        "lot: {boundary: {points: [[0, 0], [20, 0], [20, 30], [0, 30]]}}\nrest_of_lot: lawn\n"
        "surfaces:\n"
        "  - {id: house, material: roof, shape: {rectangle: {corner: [15, 25], size: [40, 30]}}}\n"
        "  - {id: walk, material: asphalt, shape: {rectangle: {corner: [15, 60], size: [4, 9]}}}\n"
        "  - {id: bay, material: asphalt, shape: {rectangle: {corner: [15, 70], size: [9, 9]}}}\n",
        encoding="utf-8",
    )
    _, out, _ = run(capsys, "check", str(path), "--no-report", "--allow-unknown")
    said = " ".join(out.split())
    assert "2 of 3 surfaces lie outside the lot; check that all share one origin" in said
    # 40 m x 30 m = 1,200 m2 on a lot of 20 m x 30 m = 600 m2.
    assert "House is larger than the lot; check its unit" in said
    # Inside lie 5 m x 5 m of the house: 1,200 - 25 = 1,175.
    assert "House reaches 1,175.00 m2 outside the lot" in said


@pytest.mark.parametrize(("day", "code"), [("2024-06-30", 2), ("2024-07-01", 1), ("2026-01-31", 1)])
def test_a_text_is_no_law_of_days_before_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, day: str, code: int
) -> None:
    path = tmp_path / "site.yaml"
    text = Path(BEFORE).read_text(encoding="utf-8")
    path.write_text(text.replace("units: ft\n", f"units: ft\ndate: {day}\n"), encoding="utf-8")
    found, _, err = run(capsys, "check", str(path), "--no-report")
    assert found == code
    # Alder Ferry's text (invented) came into force on 2024-07-01.
    assert ("2024-07-01; it is no law of 2024-06-30" in err) == (code == 2)


def test_our_own_mistake_ends_with_three(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_path: Path) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("checker.api.load_site", broken)
    code, _, err = run(capsys, "check", BEFORE, "--no-report")
    assert code == 3
    assert "This is a mistake of Soakline, not of your files." in err


def test_a_new_site_file_checks_at_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "lot.yaml"
    assert run(capsys, "new", str(path))[0] == 0
    code, out, _ = run(capsys, "check", str(path), "--no-report", "--allow-unknown")
    assert code == 0, out
    code, _, err = run(capsys, "new", str(path))
    assert code == 2
    assert "is there already" in err


def test_rule_sets_are_listed_shown_and_tested(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "rules", "list")
    assert code == 0
    assert "alder-ferry" in out
    code, out, _ = run(capsys, "rules", "show", "alder-ferry")
    assert code == 0
    assert "45 %" in out
    code, out, _ = run(capsys, "rules", "test", "alder-ferry")
    assert code == 0
    assert "examples hold" in out


def test_an_example_that_does_not_hold_is_shown(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = Path("jurisdictions/alder-ferry.yaml").read_text(encoding="utf-8")
    path = tmp_path / "town.yaml"
    path.write_text(text.replace("margin: -225 sq ft", "margin: -224 sq ft"), encoding="utf-8")
    code, out, _ = run(capsys, "rules", "test", str(path))
    assert code == 1
    assert "margin: expected -224 sq ft, found -225 sq ft" in out


def test_the_same_input_gives_the_same_bytes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    for name in ("one", "two"):
        run(capsys, "check", BEFORE, "--out", str(tmp_path / name))
    first = {path.name: path.read_bytes() for path in (tmp_path / "one").iterdir()}
    second = {path.name: path.read_bytes() for path in (tmp_path / "two").iterdir()}
    assert first == second


def test_a_letterhead_stands_on_the_pages(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    given = ("check", "samples/fernhollow-after/site.yaml", "--out", str(tmp_path / "out"))
    assert run(capsys, *given, "--template", "samples/letterhead")[0] == 0
    for name in ("report.html", "report.md"):
        assert "Example Court and Terrace Works" in (tmp_path / "out" / name).read_text("utf-8")
    code, _, told = run(capsys, *given, "--template", str(tmp_path))
    assert code == 2
    assert "holds neither 'page.html' nor 'page.md'" in told


def test_a_port_that_is_taken_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from checker.board.serve import listening

    lot = tmp_path / "lot.yaml"
    run_command(["new", str(lot)])
    with listening() as taken:
        port = str(taken.getsockname()[1])
        assert run_command(["draw", str(lot), "--no-browser", "--port", port]) == 2
    told = capsys.readouterr().err
    assert f"port {port} cannot be used" in told
    assert "a free one is taken" in told
    assert run_command(["draw", str(lot), "--no-browser", "--port", "99999"]) == 2


def test_an_option_to_draw_needs_a_file_to_write(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    lot = tmp_path / "lot.yaml"
    run_command(["new", str(lot)])
    assert run_command(["change", str(lot), "--draw", "least-area"]) == 2
    assert "give '--write FILE' too" in capsys.readouterr().err


def test_lines_fit_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    import io

    from checker.cli.speaking import say

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    screen = Terminal()
    monkeypatch.setenv("COLUMNS", "30")
    monkeypatch.setattr("sys.stdout", screen)
    say("  fails: one two three four five six seven\n\n[########]\nshort")
    assert screen.getvalue().split("\n") == [
        "  fails: one two three four", "    five six seven", "", "[########]", "short", "",
    ]  # fmt: skip
