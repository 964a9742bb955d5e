"""Writes a packet into a folder: the whole of it or nothing."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, CheckerError, Place, Problem
from checker.core.records import Record
from checker.files.opening import read_bytes
from checker.files.saving import bears, refuse_shut, save_folder
from checker.packet.papers import Papers, make_papers
from checker.pages.markdown_writer import paper_as_markdown
from checker.pages.paper import Paper
from checker.pages.pdf_writer import pdf_bytes
from checker.pages.sheet import PAPER_IN, Sheet
from checker.pages.word_writer import docx_bytes
from checker.papers.job import Job, make_job
from checker.papers.workbook import csv_text, workbook_bytes
from checker.words.letters import Keys

if TYPE_CHECKING:
    import datetime
    from collections.abc import Callable

    from checker.findings.checked import Checked
    from checker.papers.checks import Preflight
    from checker.words.figures import Figures

MANIFEST: Final = "packet.json"
FORMAT: Final = "packet/1"
MOST_BYTES: Final = 10_000_000
"""The smallest limit of a file that an office was seen to set is far above this."""

_EDITABLE: Final = ("narrative", "deviation-request", "upkeep-plan")
_STEPS: Final = 8
_TITLE: Final = "the packet cannot be written"


class NotReady(CheckerError):
    """The preflight found something that an office would send the packet back for."""


class Packet(Record, kw_only=True):
    """What was written.

    Attributes:
        folder: Where it lies.
        files: Names of the files in it, in order.
        preflight: What is missing, wrong or in doubt.
        figures: Every number with its one text.
    """

    folder: Path
    files: tuple[str, ...]
    preflight: Preflight
    figures: Figures


def write_packet(  # noqa: PLR0913 - what a person may choose, each by name
    checked: Checked,
    folder: Path,
    *,
    date: datetime.date | None = None,
    sheet_size: str = "",
    previous: Checked | None = None,
    built: Checked | None = None,
    overwrite: bool = False,
    split: bool | None = None,
    only_when_ready: bool = False,
    fonts: Path | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Packet:
    """Write the permit packet of a checked site.

    Args:
        checked: The site, judged.
        folder: The folder to make.
        date: The date of the set; left out of every footer when None.
        sheet_size: letter, tabloid or arch-d; when empty the first size that the place takes and
            on which the lot fits.
        previous: The earlier revision, for the resubmittal kit.
        built: The lot as built, for the closing set.
        overwrite: Replace a packet that lies in the folder.
        split: One PDF per document beside the combined one; as the place wants when None.
        only_when_ready: Write nothing while the preflight has stops.
        fonts: A folder with fonts for letters that the PDF writer's own lack.
        progress: Called with steps done, steps in all and what comes next.

    Raises:
        BadInput: The folder exists, or the project or submission part is wrong.
        NotReady: Asked for with `only_when_ready`.
        MissingLibrary: An optional library is not installed.
    """
    refuse_folder(folder, overwrite=overwrite)
    if sheet_size and sheet_size not in PAPER_IN:
        says = f"'{sheet_size}' is no sheet size"
        problem = Problem(Place("sheet size"), says, f"use one of: {', '.join(PAPER_IN)}")
        raise BadInput(_TITLE, [problem])
    steps = _Steps(progress)
    before = make_job(previous) if previous else None
    letters = Keys(checked.site, before.keys if before else None)
    job = make_job(
        checked,
        day=date,
        sheet_size=sheet_size,
        previous=before,
        built=make_job(built, letters=letters) if built else None,
    )
    papers = make_papers(job, steps.next)
    if only_when_ready and not papers.preflight.is_ready:
        first = papers.preflight.stops[0]
        more = len(papers.preflight.stops) - 1
        raise NotReady(f"{first.what}: {first.says}" + (f"; and {more} more" if more else ""))
    files = _Making(job, papers, steps.next, fonts).files(split=split)
    save_folder(folder, files, lambda there: refuse_folder(there, overwrite=overwrite), _TITLE)
    steps.next("done")
    return Packet(
        folder=folder,
        files=tuple(files),
        preflight=papers.preflight,
        figures=job.figures,
    )


class _Steps:
    def __init__(self, progress: Callable[[int, int, str], None] | None) -> None:
        self.progress = progress
        self.done = -1

    def next(self, what: str) -> None:
        self.done += 1
        if self.progress is not None:
            self.progress(min(self.done, _STEPS), _STEPS, what)


def refuse_folder(folder: Path, *, overwrite: bool) -> None:
    """Stop before anything is made when the folder must not be touched.

    Raises:
        BadInput: It is a file, or exists and is not to be overwritten, or holds something else.
    """
    do = "name another folder"
    place = Place(folder.as_posix())
    try:
        if not folder.exists() and not folder.is_symlink():
            refuse_shut(folder)
            return
        if folder.is_symlink() or not folder.is_dir():
            raise BadInput(_TITLE, [Problem(place, "is not a folder", do)])
        there = sorted(entry.name for entry in folder.iterdir())
        foreign = sorted(set(there) - _listed(folder / MANIFEST))
        refuse_shut(folder)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise BadInput(_TITLE, [Problem(place, f"cannot be used: {reason}", do)]) from error
    if foreign:
        says = f"exists and holds other files, such as '{foreign[0]}'"
        raise BadInput(_TITLE, [Problem(place, says, f"move them away, or {do}")])
    if there and not overwrite:
        says = "holds a packet already"
        raise BadInput(_TITLE, [Problem(place, says, f"{do}, or allow overwriting")])


def _listed(manifest: Path) -> set[str]:
    """The files of a packet by its own list; none when the list is not ours."""
    if not bears(manifest, f'"format": "{FORMAT}"'):
        return set()
    try:
        known = json.loads(read_bytes(manifest, MANIFEST))
        return {MANIFEST, *(str(item["name"]) for item in known["files"])}
    except (BadInput, ValueError, KeyError, TypeError):
        return set()


class _Making(Record):
    """Makes the content of every file before one is written."""

    job: Job
    papers: Papers
    step: Callable[[str], None]
    fonts: Path | None

    def files(self, *, split: bool | None) -> dict[str, bytes]:
        job, papers = self.job, self.papers
        prefix, footer = job.submission.prefix, job.stamp.line()
        files: dict[str, bytes] = {}
        self.step("PDF")
        files[f"{prefix}packet.pdf"] = self.pdf("permit packet", papers.parts())
        if split or (split is None and job.submission.one_file is False):
            for part in papers.parts():
                name = f"{part.number}-{part.id}" if isinstance(part, Paper) else part.id
                files[f"{prefix}{name}.pdf"] = self.pdf(part.title, [part])
        self.step("worksheets")
        files[f"{prefix}coverage-worksheet.xlsx"] = workbook_bytes(job)
        files[f"{prefix}coverage-worksheet.csv"] = b"\xef\xbb\xbf" + csv_text(job).encode()
        self.step("editable texts")
        for name in _EDITABLE:
            paper = papers.paper(name)
            if not paper.is_empty:
                files[f"{prefix}{name}.docx"] = docx_bytes(paper, job.named, footer)
                files[f"{prefix}{name}.md"] = paper_as_markdown(paper, job.named, footer).encode()
        preflight = papers.paper("preflight")
        files[f"{prefix}preflight.md"] = paper_as_markdown(preflight, job.named, footer).encode()
        self.step("list of files")
        _refuse_sizes(job, files)
        files[MANIFEST] = _manifest(job, papers, files)
        return files

    def pdf(self, title: str, parts: list[Paper | Sheet]) -> bytes:
        job = self.job
        heading = f"{job.title}: {title}"
        footer = job.stamp.line()
        return pdf_bytes(heading, job.named, footer, parts, self.papers.images, self.fonts)


def _refuse_sizes(job: Job, files: dict[str, bytes]) -> None:
    most = min(MOST_BYTES, (job.submission.most_megabytes_count or 10) * 1_000_000)
    longest = job.submission.longest_name_count
    problems = [
        Problem(Place(name), f"has {len(content):,} bytes, more than {most:,}", "simplify the site")
        for name, content in files.items()
        if len(content) > most
    ]
    problems += [
        Problem(Place(name), f"has a name of more than {longest} characters", "shorten the prefix")
        for name in files
        if len(name) > longest
    ]
    if problems:
        raise BadInput("the packet does not fit what the place takes", problems)


def _manifest(job: Job, papers: Papers, files: dict[str, bytes]) -> bytes:
    data: dict[str, Any] = {
        "format": FORMAT,
        "title": job.title,
        "stamp": job.stamp.line(),
        "ready": papers.preflight.is_ready,
        "documents": [
            {"number": p.number, "id": p.id, "title": p.title, "empty": p.is_empty}
            for p in papers.papers
        ],
        "sheets": [
            {"number": s.number, "title": s.title, "size": s.size, "scale": s.scale_text}
            for s in papers.sheets
        ],
        "files": [
            {"name": name, "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in files.items()
        ],
        "preflight": [
            {"what": c.what, "state": c.state, "says": c.says, "must": c.is_must}
            for c in papers.preflight.checks
        ],
        "figures": [{"key": f.key, "title": f.title, "text": f.text} for f in job.figures],
    }
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode()
