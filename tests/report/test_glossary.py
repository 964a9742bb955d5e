"""One glossary, that every verdict and the report's pages lead to."""

from __future__ import annotations

from checker.findings.checked import Checked
from checker.findings.model import STATUSES
from checker.papers.glossary import GLOSSARY
from checker.papers.writing import reports_of
from checker.words.glossary import TERMS, VERDICTS, verdicts
from tests.report.test_access import Page


def test_every_verdict_has_a_meaning_in_the_order_of_need() -> None:
    assert tuple(VERDICTS) == STATUSES
    for says in (*VERDICTS.values(), *TERMS.values()):
        assert says.endswith(".")


def test_the_verdicts_of_a_page_are_told_and_no_others(sorrel: Checked) -> None:
    statuses = [finding.status for finding in sorrel.verdict.findings]
    assert {name for name, _ in verdicts(statuses)} == set(statuses)


def test_the_report_leads_there(sorrel: Checked) -> None:
    page = reports_of(sorrel)
    assert f'href="#{GLOSSARY}"' in page["report.html"]
    assert f'id="{GLOSSARY}"' in page["report.html"]
    assert Page(page["report.html"]).all("h1")
    assert VERDICTS["cannot tell"] in page["report.md"]
