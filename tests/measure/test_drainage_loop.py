"""The sample's design storm, each thing blocked in turn, beside a plain loop of small steps."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.measure.drainage.cases import design_cases
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import read_site
from tests.benchmarks.blockages import Loop


def test_a_plain_loop_brings_the_same_water_over_the_same_edges() -> None:
    survey = Survey(read_site(Path("samples/tern-court/site.yaml")), built_in(), {})
    network, rain = network_of(survey), storm(survey, "design")
    single = design_cases(survey).single
    assert len(single) == len(network.blockable())
    for name, flows in zip(network.blockable(), single, strict=True):
        loop = Loop(network, rain, name, 10.0)
        for edge, volume_m3 in loop.over.items():
            assert flows.volume_m3(edge) == pytest.approx(volume_m3, abs=0.001), (name, edge)
