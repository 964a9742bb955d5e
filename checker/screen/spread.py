"""Where the pieces of a town are worked: in a loop, in threads of this machine, or on Dask.

Dask is an existing engine that takes plain functions, so that a piece is worked by the same code
everywhere; a worker that is lost is replaced and its pieces are worked again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.problems import BadInput, Place, Problem
from checker.screen import edges, integrals, pairs, rings, sweep, wkb
from checker.screen.piece import worked

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.screen.piece import PieceJob


def spread(job: PieceJob, pieces: int, workers: int, scheduler: str) -> Iterator[int]:
    """WorkFolder all pieces; gives the number of each as it is done.

    Args:
        job: What every piece needs to know.
        pieces: How many there are.
        workers: Threads of this machine: what takes time lets the others run.
        scheduler: The address of a Dask scheduler, whose workers see the same files; empty for
            this machine.

    Raises:
        BadInput: A piece cannot be worked, or Dask is not installed or not there.
    """
    if scheduler:
        yield from _on_dask(job, pieces, scheduler)
    elif workers <= 1 or pieces <= 1:
        for piece in range(pieces):
            yield worked(job, piece)
    else:
        yield from _in_threads(job, pieces, min(workers, pieces))


def _in_threads(job: PieceJob, pieces: int, workers: int) -> Iterator[int]:
    from concurrent.futures import ThreadPoolExecutor, as_completed

    # What the compiler makes is made once, before two ask for it.
    for module in (wkb, rings, pairs, edges, integrals, sweep):
        module.compiled()
    with ThreadPoolExecutor(workers) as pool:
        waiting = [pool.submit(worked, job, piece) for piece in range(pieces)]
        try:
            for done in as_completed(waiting):
                yield done.result()
        finally:
            pool.shutdown(cancel_futures=True)


def _on_dask(job: PieceJob, pieces: int, scheduler: str) -> Iterator[int]:
    try:
        from distributed import Client, as_completed
    except ImportError as error:
        says = "the library dask.distributed is not installed"
        do = "install it with: pip install '.[cluster]', or leave --scheduler out"
        raise BadInput("cannot be screened", [Problem(Place(scheduler), says, do)]) from error
    try:
        client = Client(  # type: ignore[no-untyped-call]
            scheduler, timeout="20s", set_as_default=False
        )
    except (OSError, ValueError) as error:
        says = f"no scheduler answers there: {error}"[:200]
        do = "start one with: dask scheduler"
        raise BadInput("cannot be screened", [Problem(Place(scheduler), says, do)]) from error
    with client, client.as_current():
        waiting = client.map(worked, [job] * pieces, range(pieces), pure=False, retries=3)
        for done in as_completed(waiting):  # type: ignore[no-untyped-call]
            yield done.result()
