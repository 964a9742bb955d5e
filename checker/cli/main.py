"""The command line: reads arguments, calls `api`, prints, exits. Nothing else prints or exits.

Exit codes: 0 every rule is met, 1 something fails or cannot be told, 2 the input is wrong,
3 our own mistake.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; no input ends in a traceback."""
    import typer

    from checker.cli.group import application
    from checker.cli.speaking import say
    from checker.core.problems import CheckerError

    try:
        code = application().main(args=arguments, prog_name="soakline", standalone_mode=False)
    except CheckerError as wrong:
        say(str(wrong), is_error=True)
        return 2
    except typer.TyperException as wrong:
        context = getattr(wrong, "ctx", None)
        usage = f"{context.get_usage()}\n" if context else ""
        say(f"{usage}Error: {wrong.format_message()}", is_error=True)
        return 2
    except (typer.Abort, KeyboardInterrupt):
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except SystemExit:
        # Typer's way to end where nobody reads its help any more.
        return 0
    except Exception:
        import traceback

        traceback.print_exc()
        typer.echo("This is a mistake of Soakline, not of your files. Please report it.", err=True)
        return 3
    return int(code or 0)


def main() -> None:
    """The `soakline` command."""
    # Most commands live a fraction of a second, in which collecting costs more than the memory it
    # frees; those that live long still collect, at longer intervals.
    gc.set_threshold(100_000, 10, 10)
    # Importing numpy starts a linear algebra thread on each core, which nothing here waits for.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    code = run()
    for stream in filter(None, (sys.stdout, sys.stderr)):
        with contextlib.suppress(OSError, ValueError):
            stream.flush()
    # Nor is there anything to tidy up: everything has been written and flushed.
    os._exit(code)
