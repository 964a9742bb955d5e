"""What commands there are: name, the function that carries it out, one line of help.

Listing commands, their help and shell completion read this table alone and import no command.
"""

from __future__ import annotations

from typing import Final

from checker.core.records import Record


class Entry(Record):
    """One command.

    Attributes:
        name: As typed.
        module: The module of `checker.cli` that holds it.
        function: Its function there.
        help: One line for the list of commands.
    """

    name: str
    module: str
    function: str
    help: str


COMMANDS: Final = (
    Entry("check", "judge", "check", "Judge a site and write the report."),
    Entry("client", "client", "client", "Write one page for the client."),
    Entry("sections", "pavement", "sections", "Show the pavement sections and their checks."),
    Entry("drainage", "judge", "drainage", "Follow the water; block every way out in turn."),
    Entry("takeoff", "pavement", "takeoff", "List the order of the whole job."),
    Entry("ring-test", "pavement", "ring_test", "Reckon an infiltration test of a surface."),
    Entry("reckon", "reference", "reckon", "Reckon one published formula by hand."),
    Entry("tables", "reference", "tables", "Show the reference tables and their sources."),
    Entry("new", "start", "new", "Write a site file to start from."),
    Entry("materials", "start", "materials", "List the materials and what each means."),
    Entry("draw", "board", "draw", "Draw and judge a site in the browser."),
    Entry("change", "designs", "change", "Find the least that must change, with proof."),
    Entry("compare", "designs", "compare", "Hold designs or revisions side by side."),
    Entry("sensitivity", "designs", "sensitivity", "See what hangs on unclear rules."),
    Entry("screen", "screen", "screen", "Judge every lot of a town from its layers."),
    Entry("packet", "permit", "packet", "Write the permit packet."),
)

RULES: Final = (
    Entry("new", "new_rules", "new", "Begin a rule set from the answers of a form."),
    Entry("list", "rules", "list_rules", "List the places and models that come along."),
    Entry("show", "rules", "show", "Say in English what a rule set asks."),
    Entry("test", "rules", "test", "Run the worked examples of rule sets."),
    Entry("compare", "rules", "compare", "Compare two versions of a rule set."),
    Entry("schema", "rules", "schema", "Print the JSON Schema of a kind of file."),
)

RULES_HELP: Final = "Begin, list, show, test and compare rule sets."
