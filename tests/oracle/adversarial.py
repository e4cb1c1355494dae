"""Random cases that are hard to learn from. All figures are invented.

Wide multipliers, streams tied at 0.9 to 0.99 and -0.99, work that is rare or short, margins that
swing by 1.0 a year, chains of easings, two call-outs that matter.
"""

import math
import random
from dataclasses import replace
from typing import Any

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream
from optioneer.study.advice.advice import advice
from optioneer.study.advice.information import OFTEN_ENOUGH
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.clusters import clusters
from optioneer.study.problem.futures import futures_of, with_draws
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import policy_costs
from tests.oracle.cases import between, case_of, option, stream
from tests.valuation.engine import Engine

NAMES = ("probe", "turret", "loader")

MULTIPLIERS = ((0.31, 1.05, 4.2), (0.6, 0.6, 4.2), (0.31, 2.4, 2.4), (1.2, 1.5, 1.9))

FUTURES = 512

LIMIT = 3.0
"""Standard errors beyond which two figures are not the same."""


def adversarial(seed: int) -> Case:
    """One of the cases: one to three options, each with work, tied and eased as it comes."""
    rng = random.Random(seed)  # noqa: S311 - invented figures, not secrets
    names = NAMES[: rng.choice((1, 2, 2, 3))]
    options = [_option(rng, name, names[:place]) for place, name in enumerate(names)]
    work = [_work(rng, place, names) for place in range(rng.choice((1, 2, 3)))]
    growth = {"driver": ({"id": "automation"},), "periods_per_year": rng.choice((1, 4))}
    call_outs = {"default": rng.choice((0.0, 1500.0)), "team": 4000.0}
    made = case_of(options, work, growth=growth, call_outs=call_outs)
    return with_draws(made, FUTURES, rng.randrange(10**6))


def _option(rng: random.Random, name: str, earlier: tuple[str, ...]) -> Option:
    more: dict[str, Any] = {"call_out": rng.choice((None, "default", "team"))}
    if earlier and rng.random() < 0.5:
        more |= {"eased_by": earlier[-1], "eased": between(0.3, 0.6, 1.0)}
    made = option(name, rng.choice((5e3, 10e3, 13e3, 20e3)), 1.0, **more)
    return made.model_copy(update={"multiplier": between(*rng.choice(MULTIPLIERS))})


def _work(rng: random.Random, place: int, names: tuple[str, ...]) -> Stream:
    tie = rng.choice((0.0, 0.9**0.5, 0.99**0.5, -(0.99**0.5)))
    years = sorted(rng.choice((0.0, 0.5, 1.0, 2.0, 4.0)) for _ in range(3))
    more: dict[str, Any] = {
        "chance": rng.choice((0.02, 0.3, 0.6, 0.9)),
        "lasts_years": rng.choice((0.5, 1.0, 2.0, 5.0)),
        "swing": rng.choice((0.0, 0.0, 1.0)),
        "drivers": {"automation": tie} if tie else {},
    }
    needs = rng.sample(names, rng.choice((1, min(2, len(names)))))
    margin = rng.choice((4e3, 9e3, 14e3, 20e3))
    made = stream(f"work-{place}", between(*years), margin, needs, **more)
    spread = between(0.3 * margin, margin, 1.8 * margin) if rng.random() < 0.5 else made.margin
    return made.model_copy(update={"margin": spread})


def missed(case: Case, look: int = 1) -> float:
    """Most that any package costs beyond the rule as advised, in paired standard errors.

    Each `look` is on futures of its own, and on what is learned for it: of a thousand comparisons
    of equals some lie beyond three errors by luck, but not twice the same.
    """
    # more than are learned from, so that no luck of these is taken for a fault
    found = valued_case(with_draws(case, 4 * FUTURES, case.growth.seed + look))
    return max((_errors(extra) for extra in _extras(found)), default=0.0)


def wrong(case: Case, look: int = 1) -> list[str]:
    """What of an advice does not hold that has to hold whatever the case, each in a word."""
    answer = advice(AdviceRequest(case, prove=True))
    proof, advised = answer.proof, answer.advised
    assert proof is not None
    figures = [advised.npc, advised.npc_se, advised.outcome.p90, proof.bound, proof.bound_se]
    alone = len(clusters(case)) == 1  # else each choice hangs on the gap of its own part
    sure = [o for o in answer.options if o.otherwise is not None and not o.close_call]
    seldom = {s.id for s in case.growth.stream if _seldom(case, s)}
    holds = {
        "a number": np.isfinite(figures).all(),
        "the rule": missed(case, look) <= LIMIT,
        "close calls": not alone or all(abs(o.otherwise or 0.0) >= proof.gap for o in sure),
        "rare work named": seldom == {rare.stream for rare in answer.rare},
        "the interval": _told_again(with_draws(case, seed=case.growth.seed + look), look) <= LIMIT,
    }
    return [claim for claim, held in holds.items() if not held]


def _seldom(case: Case, work: Stream) -> bool:
    """Whether too few futures show that work comes, or that it stays away."""
    chance = case.growth.chance_of(work)
    return 0.0 < min(chance, 1.0 - chance) * case.growth.futures < OFTEN_ENOUGH


def _told_again(case: Case, look: int) -> float:
    """How far the advised package is from what other futures tell of it, in standard errors.

    Under the same policies: what was learned decides what a package costs.
    """
    found = valued_case(case)
    chosen = best_package(found)
    answer = package_answer(found, "advised", chosen, fresh_look(found, chosen))
    anew = with_draws(case, seed=case.growth.seed + look)
    world = replace(found.world, valued=futures_of(anew, found.problem, 4 * FUTURES, use=0))
    engine = Engine(found.problem, world, tuple(cost.policy for cost in found.costs))
    cost = engine.learned[frozenset(found.options(chosen))]
    apart = abs(float(cost.mean()) - answer.npc)
    return apart / max(math.hypot(answer.npc_se, standard_error(cost)), 1.0)


def _extras(found: Valued) -> list[Floats]:
    """What each package of each cluster costs beyond the rule, shape (N,) each [money]."""
    extras: list[Floats] = []
    for cost in found.costs:
        views = found.world.views(cost.lattice)
        rule = np.concatenate([policy_costs(view, [Policy()])[0] for view in views], axis=1)
        extras += [
            cost.learned[state] - cost.lattice.price[state] - rule[state]
            for state in np.flatnonzero(cost.lattice.orderable)
        ]
    return extras


def _errors(extra: Floats) -> float:
    return float(extra.mean()) / max(standard_error(extra), 1.0)
