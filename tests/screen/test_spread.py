"""A town is worked alike in threads and on a cluster, one of whose workers dies half-way."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any, Final

import pytest

from checker.core.problems import BadInput
from checker.screen import run
from tests.screen.test_run import drawn

pytest.importorskip("pyarrow")
distributed: Final[Any] = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def town(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return drawn(tmp_path_factory.mktemp("town"), 200)


def test_two_threads_give_the_same_bytes(town: Path, tmp_path: Path) -> None:
    alone = run.screen(town, tmp_path / "one.parquet", lots_a_piece=50)
    both = run.screen(town, tmp_path / "two.parquet", lots_a_piece=50, workers=2)
    assert both.output.read_bytes() == alone.output.read_bytes()


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_that_loses_a_worker_gives_the_same_bytes(town: Path, tmp_path: Path) -> None:
    alone = run.screen(town, tmp_path / "one.parquet", lots_a_piece=25)
    cluster = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None,
        host="127.0.0.1", silence_logs=50,
    )  # fmt: skip
    killed: list[int] = []

    def kill_one(done: int, total: int, what: str) -> None:
        """Half-way, end one worker by its own process number, as a machine that goes down."""
        if what == "judging the lots" and done == total // 4 and not killed:
            worker = next(iter(cluster.workers.values()))
            killed.append(worker.process.pid)
            os.kill(killed[0], signal.SIGKILL)

    try:
        spread = run.screen(
            town, tmp_path / "many.parquet", lots_a_piece=25,
            scheduler=cluster.scheduler_address, progress=kill_one,
        )  # fmt: skip
    finally:
        cluster.close()
    assert killed
    assert spread.output.read_bytes() == alone.output.read_bytes()


@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_that_is_not_there_is_told(town: Path, tmp_path: Path) -> None:
    started = time.monotonic()
    with pytest.raises(BadInput, match="cannot be screened") as caught:
        run.screen(town, tmp_path / "x.parquet", scheduler="tcp://127.0.0.1:1")
    assert "no scheduler answers there" in str(caught.value)
    assert time.monotonic() - started < 60
