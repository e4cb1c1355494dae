"""Clusters that share a named call-out but are valued apart, each visit at a price."""

from functools import cache

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem import related
from optioneer.study.problem.arrays import problem_of
from optioneer.study.worth.valued import valued
from tests.oracle import exact
from tests.oracle.cases import between, case_of, option, stream
from tests.oracle.machine import State

SEEDS = range(36)

ADVISED = 0.003
"""How much more than the best package the advised one may cost, as a share."""

ERRORS = 4.0
"""Standard errors of the drawn futures that figures may be off by."""


@pytest.fixture(autouse=True)
def apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """No call-out ties few enough packages."""
    monkeypatch.setattr(related, "LARGEST_CALLED", 0)


@cache
def machine(seed: int) -> Case:
    """Three or four options that serve a kind of work each and are fitted by one team."""
    chosen = np.random.default_rng(seed)
    count = int(chosen.integers(3, 5))
    options, streams = [], []
    for number in range(count):
        price = 1000.0 * float(chosen.integers(6, 24))
        later = float(chosen.choice([1.0, 1.2, 1.4, 2.0])) if chosen.random() < 0.85 else None
        call_out = "team" if chosen.random() < 0.8 else "default"
        options.append(option(f"option-{number}", price, later, call_out=call_out))
        streams.append(_work(chosen, number, price))
    case = case_of(
        options,
        streams,
        growth={"driver": (Driver(id="force"),)},
        call_outs={
            "default": float(chosen.choice([400.0, 1500.0])),
            "team": float(chosen.choice([800.0, 3000.0, 9000.0])),
        },
    )
    return case


def _work(chosen: np.random.Generator, number: int, price: float) -> Stream:
    low, likely, high = sorted(chosen.uniform(0.0, 5.0, 3).tolist())
    drivers = {"force": float(chosen.choice([0.6, 0.9]))} if chosen.random() < 0.5 else {}
    return stream(
        f"work-{number}",
        between(low, likely, high),
        round(price * float(chosen.choice([0.3, 0.5, 0.8, 1.5]))),
        [],
        chance=float(chosen.choice([0.3, 0.6, 0.9])),
        way=(Way(options=(f"option-{number}",)),),
        drivers=drivers,
    )


@cache
def told(seed: int) -> tuple[Advice, dict[State, float]]:
    """What is advised, and what every package costs under the best policy there is."""
    answer = advice(AdviceRequest(machine(seed), prove=True))
    return answer, exact.optimum(machine(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_try(seed: int) -> None:
    answer, best = told(seed)
    room = ERRORS * answer.advised.npc_se
    mine, least = best[frozenset(answer.advised.options)], min(best.values())
    proof = answer.proof
    lone = valued(machine(seed))
    print(seed, [l.size for l in problem_of(machine(seed)).lattices], f"adv {mine/least-1:.5f} reach {(answer.advised.npc-mine)/least:.5f} se {answer.advised.npc_se/least:.5f} hind {(answer.advised.hindsight-mine)/least:.5f} bound {(proof.bound-least)/least:.5f} gap {proof.gap/least:.5f} mix {lone.mix.cost([0]*len(lone.costs)).mean()}")
    assert answer.advised.npc >= mine - room
    assert mine <= least * (1 + ADVISED)
    assert proof.bound <= least + ERRORS * proof.bound_se
