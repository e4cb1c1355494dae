"""Can the shop afford what the advice waits for? What that costs, and what to order now."""

from collections.abc import Iterator

import numpy as np

from optioneer.model.machine import Package
from optioneer.study.account.answers import Affordable, OrderNow
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.pursed import Pursed


def affordable(found: Pursed, package: Package, plan: str) -> Affordable:
    """What it does to fit retrofits only where the account under a plan can pay them.

    Parameters
    ----------
    found
        The valued case with its purse.
    plan
        Id of the way of paying.
    """
    states = states_of(found, package)
    return Affordable(
        plan=plan,
        refused=found.share_refused(states),
        costs=found.mean(states) - float(found.free.cost(states).mean()),
        options=tuple(_order_now(found, states)),
    )


def _order_now(found: Pursed, states: States) -> Iterator[OrderNow]:
    """Options that are waited for where the account refuses: what each would cost if ordered."""
    for option, name in enumerate(found.problem.options):
        late = found.unpaid(states, {option})
        now = _best_with(found, states, option)
        if late and now is not None:
            extra = found.mean(now) - found.mean(states)
            yield OrderNow(option=name, refused=late, otherwise=extra)


def _best_with(found: Pursed, states: States, option: int) -> States | None:
    """The best package with an option and all other clusters as they are, if there is one."""
    cluster = found.cluster_of(option)
    holding = found.costs[cluster].lattice.holding(option)
    means = np.where(holding, found.means[cluster], np.inf)
    if holding[states[cluster]] or not np.isfinite(means.min()):
        return None
    return (*states[:cluster], int(means.argmin()), *states[cluster + 1 :])
