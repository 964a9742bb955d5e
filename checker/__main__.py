"""`python -m checker` is the `soakline` command."""

from checker.cli.main import main

main()
