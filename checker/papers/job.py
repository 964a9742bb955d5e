"""Everything that the documents of one packet read: the check, the project, the list, the figures.

Figures are gathered here, once; the documents only ask for their texts.
"""

from __future__ import annotations

import hashlib
import json
from importlib import metadata
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record, field
from checker.files.opening import read_bytes
from checker.measure.drainage.drawn import panels_of, storms_of, ways_of
from checker.measure.section.bed import beds
from checker.papers.file_changes import named_files
from checker.papers.gathering import add_distance, add_earlier, add_lot
from checker.rulesets.submission import read_submission
from checker.site.gis_files import MAX_GIS_BYTES
from checker.site.project import read_project
from checker.words.amounts import clean
from checker.words.brief import Brief, brief_of

if TYPE_CHECKING:
    from datetime import date

    from checker.findings.checked import Checked
    from checker.rulesets.submission import Submission
    from checker.site.project import Project
    from checker.words.letters import Keys

NOT_GIVEN: Final = "not given"


class Stamp(Record, kw_only=True):
    """What stands in every footer, so that a reviewer can cite the set.

    Attributes:
        day: The date of the set; None when none was given.
        rules: Rule set and the day it is in force since.
        program: Name and version.
        inputs: First twelve digits of the SHA-256 of everything that was read.
        revision: Letter or number of the set.
    """

    day: date | None
    rules: str
    program: str
    inputs: str
    revision: str

    def line(self) -> str:
        """The footer as one line."""
        day = self.day.isoformat() if self.day else "no date given"
        parts = (f"revision {self.revision}", day, self.rules, self.program, f"input {self.inputs}")
        return " · ".join(parts)


class Job(Brief, kw_only=True):
    """What the documents read.

    Attributes:
        project: Who, where, when.
        submission: What the office asks for.
        stamp: The footer.
        sheet_size: letter, tabloid or arch-d.
        previous: The job of the earlier revision; None without one.
        built: The job of the lot as built; None without one.
    """

    project: Project
    submission: Submission
    stamp: Stamp
    sheet_size: str
    previous: Job | None = None
    built: Job | None = None
    notes: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        """The project's name."""
        return clean(self.checked.site.title)

    @property
    def named(self) -> str:
        """The project's name with its number."""
        return " · ".join(filter(None, (self.title, clean(self.project.texts.get("id", "")))))

    @property
    def legal(self) -> str:
        """Lot and block, or what the deed calls the land; empty where nobody says."""
        return clean(self.project.texts.get("legal", ""))

    def given(self, key: str) -> str:
        """A text of the project, or the word for a blank."""
        return clean(self.project.texts.get(key, "")) or NOT_GIVEN


def make_job(
    checked: Checked,
    *,
    day: date | None = None,
    sheet_size: str = "tabloid",
    previous: Job | None = None,
    built: Job | None = None,
    letters: Keys | None = None,
) -> Job:
    """Gather what the documents need; the letters of an earlier revision stay.

    `letters` are those of the approved lot, for a lot as built.

    Raises:
        BadInput: The project part of the site file or the submission part of the rules is wrong,
            or an earlier or built site lies on another lot of another place.
    """
    project = read_project(checked.site)
    _read_parts(checked)
    submission = read_submission(checked.ruleset)
    brief = brief_of(checked, previous.keys if previous is not None else letters)
    figures = brief.figures
    add_lot(figures, checked)
    for surface in checked.site.surfaces:
        add_distance(figures, surface, checked)
    add_earlier(figures, project)
    for other, noun in ((previous, "the earlier revision"), (built, "the site as built")):
        if other is not None and other.checked.ruleset.id != checked.ruleset.id:
            place = Place(other.checked.site.document.file)
            says = f"{noun} is under '{other.checked.ruleset.id}', not '{checked.ruleset.id}'"
            raise BadInput(
                "the two site files cannot be compared",
                [Problem(place, says, "judge both under one rule set")],
            )
    return Job(
        checked=checked,
        project=project,
        submission=submission,
        stamp=Stamp(
            day=day,
            rules=f"rules {checked.ruleset.id}, in force since {checked.ruleset.since.isoformat()}",
            program=f"Soakline {version()}",
            inputs=input_hash(checked),
            revision=project.revision,
        ),
        coverages=brief.coverages,
        keys=brief.keys,
        figures=figures,
        sheet_size=sheet_size,
        previous=previous,
        built=built,
    )


def _read_parts(checked: Checked) -> None:
    """Read the parts that documents draw on, so that a mistake in one is told before all else."""
    parts = checked.site.parts
    if "panels" in parts:
        panels_of(checked.survey)
    if "ways_out" in parts:
        ways_of(checked.survey)
    if "storms" in parts:
        storms_of(checked.survey)
    if "sections" in parts or "ground" in parts:
        beds(checked.survey)


def version() -> str:
    """The version of the program; "unknown" where it was not installed."""
    try:
        return metadata.version("soakline")
    except metadata.PackageNotFoundError:
        return "unknown"


def input_hash(checked: Checked) -> str:
    """Twelve digits of the SHA-256 of all that was read.

    That is the site file, the rule files, and what the site file names: the drawing with its
    companions, the rain table, the cost table.
    """
    digest = hashlib.sha256()
    for document in (checked.site.document, *checked.ruleset.documents.values()):
        text = json.dumps(document.data, sort_keys=True, ensure_ascii=False)
        digest.update(text.encode("utf-8", "surrogatepass"))
    for path in named_files(checked.site):
        raw = read_bytes(path, path.name, MAX_GIS_BYTES)
        digest.update(f"{path.name} {len(raw)} ".encode())
        digest.update(raw)
    return digest.hexdigest()[:12]
