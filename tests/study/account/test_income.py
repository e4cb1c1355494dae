"""What the machine leaves to pay retrofits from, month by month, and choices within a budget."""

from dataclasses import replace

import numpy as np
import pytest

from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.purse import income
from tests.paying_cases import paying
from tests.study.account.test_afford import AT_ORDER, TIGHT, found_with

RAMPS = ((), (0.5,), (0.0, 0.2, 0.7, 0.9, 0.9), (0.25,) * 30)


@pytest.mark.parametrize("ramp", RAMPS)
def test_a_period_brings_the_mean_of_its_months(ramp: tuple[float, ...]) -> None:
    known = found_with(TIGHT)
    account = {"opening": 1e6, "retrofits": "account", "ramp": ramp}
    case = known.case.model_copy(update={"paying": paying(AT_ORDER, account=account, use="own")})
    told = income(replace(known, case=case)).ramp
    months = 12 // case.growth.periods_per_year
    shares = [*ramp, *[1.0] * (months * len(told))][: months * len(told)]
    assert told.tolist() == pytest.approx(np.mean(np.reshape(shares, (-1, months)), axis=1))


@pytest.mark.parametrize("extra", [4e3, 12e3, 25e3])
def test_kept_to_some_states_within_a_budget_the_choice_keeps_both(extra: float) -> None:
    """And is no dearer than what keeps both if the rest stays as it is in the best."""
    known = found_with(TIGHT)
    budget = known.case.machine.base_price + extra
    best = best_package(known, budget=budget)
    assert known.price(best) <= budget + 0.005
    for cluster, cost in enumerate(known.costs):
        for option in {o for levels in cost.lattice.fitted for o in levels if o >= 0}:
            holding = cost.lattice.holding(option)
            allowed = holding != holding[best[cluster]]
            near = [
                (*best[:cluster], int(state), *best[cluster + 1 :])
                for state in np.flatnonzero(allowed & cost.lattice.orderable)
            ]
            able = [one for one in near if known.price(one) <= budget + 0.005]
            if not able:
                continue
            other = best_package(known, budget=budget, within=(cluster, allowed))
            assert allowed[other[cluster]]
            assert known.price(other) <= budget + 0.005
            cheapest = min(able, key=lambda one: known.means[cluster][one[cluster]])
            assert known.mean(other) <= known.mean(cheapest) + 0.01
