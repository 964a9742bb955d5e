"""`python -m checker` is the `soakline` command."""

from checker.cli import main

main()
