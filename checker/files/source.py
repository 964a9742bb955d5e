"""YAML or JSON text to plain data, with the place of every key and value.

PyYAML's parser is used for the node tree only. Scalars follow the YAML 1.2 core rules (`no` stays
a text, `010` is ten, `12:30` is a text), equal keys, tags and not-a-number are refused, and size,
depth, the number of values and the length of each are bounded, so that a hostile file costs little.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, ClassVar, Final, TypeGuard

import yaml

try:
    from yaml import CSafeLoader as Base
except ImportError:  # a platform without the wheel's C part; ten times slower, else the same
    from yaml import SafeLoader as Base  # type: ignore[assignment]

from checker.core.problems import BadInput, Place, Problem, Problems
from checker.core.records import Record
from checker.files.opening import MAX_BYTES, decoded, read_bytes, unreadable
from checker.files.syntax_words import syntax_words

MAX_DEPTH: Final = 40
MAX_NODES: Final = 400_000
"""Keys and values; a lot outline of 100,000 corners has 300,000."""
MAX_TEXT: Final = 20_000
"""Characters of one text; three pages of a narrative have 10,000."""
MAX_MISTAKES: Final = 100
"""So many mistakes are told of one file; then its reading stops."""

Path_ = tuple["str | int", ...]
"""The way from the top of a document to a value: keys and list positions."""

_INTEGER: Final = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT: Final = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_NOT_FINITE: Final = re.compile(r"([-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN))\Z")
LINE_END: Final = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What ends a line for the parser."""
_TAG: Final = re.compile(r"(&\S+\s+)?(![^\s,\[\]{}]*)")
_PAIR: Final = re.compile(
    r"(?<!\\)((?:\\\\)*)\\u([Dd][89ABab][0-9A-Fa-f]{2})\\u([Dd][C-Fc-f][0-9A-Fa-f]{2})"
)
"""JSON writes a character beyond the first 65,536 as two halves, which YAML does not know."""
_NO_TREE: Final = (RecursionError, MemoryError, ValueError, OverflowError)
NO_YAML: Final = (yaml.YAMLError, *_NO_TREE)
"""What the parser raises where a text is none."""
Mark = tuple[int, int]
"""Line and column, counted from 1."""


class _Loader(Base):
    """PyYAML's parser without its guesses at what a plain scalar means; those are made here."""

    yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}  # type: ignore[misc]

    def resolve(self, *_: object) -> str:
        """No tag: nobody asks for one, and to look for it takes a tenth of the time."""
        return ""


class Document(Record):
    """A file read to plain data.

    Attributes:
        file: The file as the user named it.
        data: dicts, lists, texts, numbers, booleans and None.
        values: Where each value stands, by its path.
        keys: Where each mapping key stands, by the path of its value.
        text: What was read.
    """

    file: str
    data: Any
    values: dict[Path_, Mark]
    keys: dict[Path_, Mark]
    text: str = ""

    def place(self, *path: str | int) -> Place:
        """The place of the value at a path, or of the nearest thing around it that exists."""
        for end in range(len(path), -1, -1):
            found = self.values.get(path[:end])
            if found is not None:
                return Place(self.file, *found)
        return Place(self.file)

    def within(self, path: Path_, data: object) -> Document:
        """A part of the file as a document of its own, whose places are those in the file."""
        size = len(path)
        values, keys = (
            {where[size:]: mark for where, mark in marks.items() if where[:size] == path}
            for marks in (self.values, self.keys)
        )
        return Document(self.file, data, values, keys)

    def key_place(self, *path: str | int) -> Place:
        """The place of the key that holds the value at a path."""
        found = self.keys.get(path)
        return Place(self.file, *found) if found is not None else self.place(*path)


def read_document(path: Path, shown: str | None = None) -> Document:
    """Read a YAML or JSON file.

    Args:
        path: The file.
        shown: How messages name it; the path as given when None.

    Raises:
        BadInput: With every duplicate key and unusable value, or the first syntax error.
    """
    shown = shown or path.as_posix()
    return read_text(decoded(read_bytes(path, shown), shown), shown)


def read_text(text: str, shown: str) -> Document:
    """Read YAML or JSON text; see `read_document`."""
    if len(text) > MAX_BYTES:
        raise unreadable(
            shown, f"has {len(text):,} characters, more than {MAX_BYTES:,}", "split it"
        )
    text = whole_pairs(text)
    _refuse_deep(text, shown)
    _refuse_many(text, shown)
    try:
        root = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = Place(shown, mark.line + 1, mark.column + 1) if mark else Place(shown)
        says, do = syntax_words(error.problem or error.context or "is not YAML", text, mark)
        raise BadInput(f"{shown} is not YAML", [Problem(place, says, do)]) from error
    except yaml.YAMLError as error:
        says = str(getattr(error, "reason", "")) or "holds a character that YAML forbids"
        at = getattr(error, "position", None)
        place = _place_of_offset(text, at, shown) if isinstance(at, int) else Place(shown)
        do = "remove the character; plain text and spaces only"
        raise BadInput(f"{shown} is not YAML", [Problem(place, says, do)]) from error
    except _NO_TREE as error:
        raise unreadable(shown, "is nested too deeply or malformed", "simplify it") from error
    if root is None:
        raise unreadable(shown, "is empty", "start from the file that 'soakline new' writes")
    reading = _Reading(shown, text)
    data = reading.value(root, (), 0)
    reading.problems.stop_if_any(f"{shown} cannot be read")
    return Document(shown, data, reading.values, reading.keys, text)


def whole_pairs(text: str) -> str:
    """JSON text with each pair of half characters made one; other text as it is."""
    if not text.lstrip("\ufeff \t\r\n").startswith(("{", "[")) or "\\u" not in text:
        return text

    def whole(pair: re.Match[str]) -> str:
        high, low = int(pair[2], 16), int(pair[3], 16)
        return f"{pair[1]}\\U{0x10000 + ((high - 0xD800) << 10) + low - 0xDC00:08X}"

    return _PAIR.sub(whole, text)


def _place_of_offset(text: str, offset: int, shown: str) -> Place:
    before = text[:offset]
    return Place(shown, before.count("\n") + 1, offset - (before.rfind("\n") + 1) + 1)


def _refuse_deep(text: str, shown: str) -> None:
    """Stop before the parser: it recurses on nested brackets and can exhaust the C stack."""
    depth = 0
    for match in re.finditer(r"[\[\]{}]", text):
        depth += 1 if match[0] in "[{" else -1
        if depth > 20 * MAX_DEPTH:
            raise BadInput(
                f"{shown} cannot be read",
                [Problem(_place_of_offset(text, match.start(), shown), "is nested too deeply")],
            )
    indent = 0
    for line in text.splitlines():
        stripped = line.lstrip(" -?")
        indent = max(indent, (len(line) - len(stripped)) if stripped else 0)
    if indent > 2000:
        raise unreadable(shown, "is indented too deeply", "simplify it")


def _refuse_many(text: str, shown: str) -> None:
    """Stop before a tree of millions of nodes is built.

    Each value needs a sign that parts it from the next; only a text with many of them is counted.
    """
    if sum(map(text.count, (",", "\n", ":", "[", "{", "- ", "? "))) < MAX_NODES:
        return
    count = 0
    try:
        for event in yaml.parse(text, Loader=_Loader):
            count += isinstance(event, yaml.NodeEvent)
            if count > MAX_NODES:
                mark: Any = event.start_mark
                place = Place(shown, mark.line + 1, mark.column + 1)
                says = f"the file holds more than {MAX_NODES:,} keys and values"
                raise BadInput(f"{shown} cannot be read", [Problem(place, says, "split it")])
    except NO_YAML:
        return  # told in full by the reading itself


def composed(text: str) -> Any:  # noqa: ANN401 - PyYAML's own
    """The tree of nodes of a text that can be read, each with its marks; None for nothing."""
    return yaml.compose(text, Loader=_Loader)


def entries_read(text: str, shown: str) -> Document | None:
    """Entries of a list, read from their own lines; None where these hold more, or a mistake.

    Its data is a list of what they say; its places count from the first of the lines.
    """
    reading = _Reading(shown, text)
    try:
        _refuse_deep(text, shown)
        root = composed(text)
        if not isinstance(root, yaml.SequenceNode) or root.flow_style:
            return None
        data = [reading.value(item, (i,), 2) for i, item in enumerate(root.value)]
        reading.problems.stop_if_any(f"{shown} cannot be read")
    except (BadInput, *NO_YAML):
        return None
    return Document(shown, data, reading.values, reading.keys, text)


def head_of(path: Path, keys: frozenset[str]) -> dict[str, str]:
    """The texts of some top-level keys of a YAML file; nothing else of it is built or checked.

    Args:
        path: A file of the library.
        keys: What to look for; a key that is not there, or holds no plain text, is left out.

    Raises:
        BadInput: The file cannot be read, or is no YAML as far as it had to be read.
    """
    text = decoded(read_bytes(path, path.name), path.name)
    found: dict[str, str] = {}
    depth, key = 0, None
    try:
        for event in yaml.parse(text, Loader=Base):
            if isinstance(event, yaml.CollectionEndEvent):
                depth -= 1
            elif depth == 1 and key is None and isinstance(event, yaml.ScalarEvent):
                key = event.value
                continue
            elif isinstance(event, yaml.ScalarEvent) and depth == 1 and key in keys:
                found[key] = event.value
                if len(found) == len(keys):
                    break
            elif isinstance(event, yaml.CollectionStartEvent):
                depth += 1
            if depth == 1:
                key = None
    except yaml.YAMLError as wrong:
        raise unreadable(path.name, "is no YAML", "see what `soakline rules show` says") from wrong
    return found


class _Reading:
    """One walk over the node tree."""

    def __init__(self, shown: str, text: str) -> None:
        self.shown = shown
        self.lines = LINE_END.split(text) if "!" in text else None
        self.problems = Problems()
        self.values: dict[Path_, Mark] = {}
        self.keys: dict[Path_, Mark] = {}
        self.count = 0

    def place(self, node: yaml.Node) -> Place:
        return Place(self.shown, node.start_mark.line + 1, node.start_mark.column + 1)

    def wrong(self, node: yaml.Node, says: str, do: str = "") -> None:
        """Note a mistake; a file that is nothing but mistakes is not read to its end."""
        self.problems.add(self.place(node), says, do)
        if len(self.problems.items) >= MAX_MISTAKES:
            title = f"{self.shown} cannot be read; its first {MAX_MISTAKES} mistakes are"
            self.problems.stop_if_any(title)

    def tag(self, node: yaml.Node) -> str:
        """The tag that a file writes before a value; empty without one."""
        if self.lines is None:
            return ""
        found = _TAG.match(self.lines[node.start_mark.line], node.start_mark.column)
        return found[2] if found else ""

    def value(self, node: yaml.Node, path: Path_, depth: int) -> Any:  # noqa: ANN401 - plain data
        self.count += 1
        if self.count > MAX_NODES:
            raise BadInput(
                f"{self.shown} cannot be read",
                [
                    Problem(
                        self.place(node),
                        f"the file unfolds to more than {MAX_NODES:,} values",
                        "remove repeated references",
                    )
                ],
            )
        mark = node.start_mark
        self.values[path] = (mark.line + 1, mark.column + 1)
        if tag := self.tag(node):
            self.wrong(node, f"'{tag[:40]}' is a tag, which is not read", "leave it out")
        if depth > MAX_DEPTH:
            raise BadInput(
                f"{self.shown} cannot be read",
                [
                    Problem(
                        self.place(node),
                        f"is nested more than {MAX_DEPTH} levels deep",
                        "simplify it",
                    )
                ],
            )
        if isinstance(node, yaml.MappingNode):
            return self.mapping(node, path, depth)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(item, (*path, i), depth + 1) for i, item in enumerate(node.value)]
        if isinstance(node, yaml.ScalarNode):
            return self.scalar(node)
        raise AssertionError(f"an unknown kind of node: {node!r}")

    def mapping(self, node: yaml.MappingNode, path: Path_, depth: int) -> dict[str, Any]:
        data: dict[str, Any] = {}
        last: yaml.Node | None = None
        for key_node, value_node in node.value:
            mark = key_node.start_mark
            if node.flow_style and self.is_rest_of_number(last, key_node, value_node):
                number = f"{last.value},{key_node.value}"
                says = f"inside {{ }} the comma in '{number}' ends the value"
                do = f"write {number.replace(',', '')}, or put it in quotes"
                self.problems.add(self.place(last), says, do)
                continue
            last = value_node
            if not isinstance(key_node, yaml.ScalarNode):
                self.wrong(key_node, "a key must be a plain text", "put it in quotes")
                continue
            key = key_node.value
            if len(key) > MAX_TEXT:
                self.wrong(key_node, f"a key has {len(key):,} characters", "shorten it")
                continue
            if tag := self.tag(key_node):
                self.wrong(key_node, f"'{tag[:40]}' is a tag, which is not read", "leave it out")
            if key in data:
                first = self.keys[(*path, key)][0]
                says = f"the key '{key[:60]}' stands twice, first in line {first}"
                self.wrong(key_node, says, "keep one")
                continue
            self.keys[(*path, key)] = (mark.line + 1, mark.column + 1)
            data[key] = self.value(value_node, (*path, key), depth + 1)
        return data

    @staticmethod
    def is_rest_of_number(
        last: yaml.Node | None, key_node: yaml.Node, value_node: yaml.Node
    ) -> TypeGuard[yaml.ScalarNode]:
        """Whether a key is what a comma cut off the number before it: `5` and `000 sq ft`."""
        return (
            isinstance(last, yaml.ScalarNode)
            and last.style not in {"'", '"'}
            and re.fullmatch(r"[-$ ]*\d{1,3}", last.value) is not None
            and isinstance(key_node, yaml.ScalarNode)
            and re.fullmatch(r"\d{3}(\D.*)?", key_node.value) is not None
            and isinstance(value_node, yaml.ScalarNode)
            and value_node.value == ""
        )

    def scalar(self, node: yaml.ScalarNode) -> object:
        text: str = node.value
        if len(text) > MAX_TEXT:
            says = f"a text has {len(text):,} characters, more than the {MAX_TEXT:,} allowed"
            self.wrong(node, says, "shorten it")
            return ""
        return text if node.style in {"'", '"', "|", ">"} else self.plain(node, text)

    def plain(self, node: yaml.ScalarNode, text: str) -> object:
        """A scalar without quotes: nothing, yes or no, a number, else a text."""
        if text in {"", "~", "null", "Null", "NULL"}:
            return None
        if text in {"true", "True", "TRUE"}:
            return True
        if text in {"false", "False", "FALSE"}:
            return False
        if _INTEGER.match(text):
            if len(text) > 30:
                self.wrong(node, f"the number {text[:12]}... is too long")
                return 0
            return int(text)
        if _FLOAT.match(text):
            number = float(text)
            if number in {float("inf"), float("-inf")}:
                self.wrong(node, f"{text} is too large a number")
            return number
        if _NOT_FINITE.match(text):
            self.wrong(node, f"{text} is not a number that can be used", "give a number")
            return 0.0
        return text
