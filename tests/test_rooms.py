"""What DEVELOPERS.md says of rooms and doors: who touches files, who prints, who is plain."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

from checker import api
from tests.test_conformance import MODULES, ROOT

# Modules that touch a file by themselves, each with its reason.
OPENS: Final[dict[str, str]] = {
    "files/opening.py": "the one door in",
    "files/saving.py": "the one door out",
    "files/drafts.py": "the drafts of the door out",
    "files/shape.py": "reads the package's own compiled shapes",
    "files/compile.py": "a developer's command that writes the package's own shapes",
    "findings/handbook.py": "a developer's command that writes two READMEs of the project",
    "pages/archive.py": "rewrites a zip that is held in memory",
    "pages/html_writer.py": "reads the package's own style",
    "pages/pdf_writer.py": "hands the typesetter a folder of its own, which goes afterwards",
    "site/dxf.py": "the library opens what the door in has looked at",
    "site/gis_files.py": "hands a library a folder of copies, and looks into a zip held in memory",
    "board/shell.py": "reads the package's own page",
    "board/survey.py": "a library opens bytes of a picture that the door in has read",
    "board/serve.py": "writes a private door for the browser, which goes when the board stops",
    "board/journal.py": "a journal grows line by line and is seen to the disk; it is no page",
    "screen/layer_files.py": "looks at the first bytes of a layer before a library opens it",
    "screen/work.py": "a working folder, marked as ours, that goes when the table is written",
    "screen/piece.py": "writes the parts of a table into the working folder",
    "screen/run.py": "puts the parts together, and moves the table to its place",
    "cli/speaking.py": "the terminal that went away",
}
TOUCHES: Final = {
    "open", "fdopen", "read_text", "read_bytes", "write_text", "write_bytes", "ZipFile", "mkstemp",
    "NamedTemporaryFile", "loadtxt", "read_file", "readfile", "rename", "replace", "unlink",
    "rmtree",
}  # fmt: skip

# Own functions of these names go through the doors; text has a `replace`, too.
OWN: Final = {"read_text", "read_bytes", "replace"}


def calls(tree: ast.Module) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def touched(tree: ast.Module) -> set[str]:
    """The calls of a module that may touch a file: by name, or as a method of what is a path."""
    found: set[str] = set()
    for call in calls(tree):
        match call.func:
            case ast.Name(id=name) if name in TOUCHES - OWN:
                found.add(name)
            case ast.Attribute(attr="replace", value=ast.Name(id="os")):
                found.add("os.replace")
            case ast.Attribute(attr=name) if name in TOUCHES - {"replace"}:
                found.add(name)
            case _:
                pass
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_files_have_one_door_in_and_one_out(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    name = path.relative_to(ROOT / "checker").as_posix()
    if name in OPENS:
        assert touched(tree), f"{name} touches no file any more: take it off the list"
    else:
        assert touched(tree) == set(), "go through files.opening or files.saving"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_only_the_command_line_prints_or_exits(path: Path) -> None:
    name = path.relative_to(ROOT / "checker").as_posix()
    if name.startswith("cli/") or name == "__main__.py":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    said = {
        text
        for call in calls(tree)
        if re.fullmatch(
            r"print|input|exit|quit|sys\.exit|os\._exit|(typer|click)\.\w+|sys\.std\w+\.\w+",
            text := ast.unparse(call.func),
        )
    }
    raised = {ast.unparse(node) for node in ast.walk(tree) if isinstance(node, ast.Raise)}
    assert said == set()
    assert [text for text in raised if "SystemExit" in text] == []


def imports(tree: ast.Module) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {item.name for item in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


ALGEBRA: Final = [path for path in MODULES if path.parent.name == "algebra"]


@pytest.mark.parametrize("path", ALGEBRA, ids=lambda path: path.stem)
def test_the_algebra_is_the_standard_library_and_core(path: Path) -> None:
    others = {
        name
        for name in imports(ast.parse(path.read_text(encoding="utf-8")))
        if name.partition(".")[0] not in sys.stdlib_module_names
        and not name.startswith(("checker.core.", "checker.algebra"))
    }
    assert others == set()


def test_only_two_rooms_write_in_the_formats_of_pages() -> None:
    """Jinja2, Typst, Word and workbooks are known to `pages` and `packet` and to nobody else."""
    libraries = {"jinja2", "typst", "docx", "xlsxwriter"}
    rooms = {
        path.relative_to(ROOT / "checker").parts[0]
        for path in MODULES
        if {name.partition(".")[0] for name in imports(ast.parse(path.read_text("utf-8")))}
        & libraries
    }
    assert rooms <= {"pages", "packet"}


def test_the_developers_guide_names_what_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    names = set(re.findall(r"`([\w./]+(?:\.(?:py|toml|md)|/[\w./]*))`", text))
    assert len(names) > 20
    homes = (ROOT, ROOT / "checker", ROOT / "tests")
    # A bare name of a file is told from the folder named before it in the text.
    bare = {path.name for home in homes[1:] for path in home.rglob("*.py")}
    missing = {name for name in names - bare if not any((home / name).exists() for home in homes)}
    assert missing == set()
    modules = set(re.findall(r"`((?:core|files|algebra|rulesets|measure)\.\w+)[.\w]*`", text))
    paths = {name: ROOT / "checker" / name.replace(".", "/") for name in modules}
    assert [
        n for n, at in paths.items() if not (at.exists() or at.with_suffix(".py").exists())
    ] == []


def test_what_is_handed_on_is_the_same_for_types_and_at_run_time() -> None:
    tree = ast.parse(Path(api.__file__).read_text(encoding="utf-8"))
    typed: dict[str, str] = {}
    under = next(node for node in tree.body if isinstance(node, ast.If))
    for node in under.body:
        match node:
            case ast.ImportFrom(module=str(module), names=names):
                typed |= {item.asname or item.name: f"{module}.{item.name}" for item in names}
            case ast.Assign(targets=[ast.Name(id=name)], value=ast.Name(id=home)):
                typed[name] = typed[home]
            case _:
                pytest.fail(ast.unparse(node))
    assert {name: typed[name] for name in api.HANDED_ON} == api.HANDED_ON
    assert all(callable(getattr(api, name)) for name in api.HANDED_ON)
    assert set(dir(api)) > set(api.HANDED_ON)
    with pytest.raises(AttributeError, match="no 'lot' to hand on"):
        api.__getattr__("lot")
