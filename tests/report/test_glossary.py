"""One glossary, that every verdict and the report's pages lead to."""

from __future__ import annotations

from checker.findings.checked import Checked
from checker.findings.model import STATUSES
from checker.papers.writing import reports_of
from checker.words.glossary import TERMS, TRADE, VERDICTS, terms_in, verdicts
from tests.report.conftest import SITES, check_file
from tests.report.test_access import Page


def test_every_verdict_has_a_meaning_in_the_order_of_need() -> None:
    assert tuple(VERDICTS) == STATUSES
    for says in (*VERDICTS.values(), *TERMS.values()):
        assert says.endswith(".")


def test_the_verdicts_of_a_page_are_told_and_no_others(sorrel: Checked) -> None:
    statuses = [finding.status for finding in sorrel.verdict.findings]
    assert {name for name, _ in verdicts(statuses)} == set(statuses)


def test_words_of_the_trade_are_explained_where_they_occur() -> None:
    from checker import api

    checked = check_file(SITES / "linden" / "after.yaml")
    page = reports_of(checked)["report.md"]
    for word in ("Underdrain", "Observation well", "Outlet", "Overflow", "Grade line"):
        assert TRADE[word.lower()].split(",")[0] in page.replace("\\", "")
    assert TRADE["observation well"] in api.sections_text(checked)
    assert TRADE["outlet"] in api.drainage_text(checked)
    assert terms_in("Nothing of it.") == ()
    assert [word for word, _ in terms_in("An outlet and its overflow.")] == ["outlet", "overflow"]


def test_the_trades_words_stand_in_place_of_ours() -> None:
    from checker import api

    rules = [rule.title for name in api.models() for rule in api.load_ruleset(name).rules]
    assert rules
    assert not [title for title in rules if "way out" in title or "ways out" in title]
    assert "Observation well in the stone" in rules


def test_the_report_leads_there(sorrel: Checked) -> None:
    page = reports_of(sorrel)
    assert page["report.html"].count('href="#glossary"') == 1
    assert 'id="glossary"' in page["report.html"]
    assert Page(page["report.html"]).all("h1")
    assert VERDICTS["cannot tell"] in page["report.md"]
