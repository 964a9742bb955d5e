"""`python -m checker` is the `soakline` command."""

from checker.cli.main import main

# A process that is started anew for a worker imports this module under another name.
if __name__ == "__main__":
    main()
