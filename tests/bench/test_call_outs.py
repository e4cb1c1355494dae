"""Three named call-outs over twenty options: what sharing a visit adds to the time of an advice.

Not part of an ordinary run::

    OPENBLAS_NUM_THREADS=1 python -m pytest -n0 -s tests/bench/test_call_outs.py
"""

import sys
import time
from itertools import cycle

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.valuation.cache.memory import MEMORY

VISITS = ("automation-visit", "spindle-team", "metrology-visit")

MOST = 3.0
"""Times as long as without that it may take."""

TIED = 20
"""Options that share the visits."""


def with_visits(case: Case, count: int) -> Case:
    """The first options that can be retrofitted share the visits in turn, no other shares one."""
    names, left = cycle(VISITS), count
    options = []
    for option in case.catalogue.options:
        if option.retrofittable and left:
            left -= 1
            options.append(option.model_copy(update={"call_out": next(names)}))
        elif option.call_out in VISITS:
            options.append(option.model_copy(update={"call_out": None}))
        else:
            options.append(option)
    assert not left
    return case.model_copy(
        update={"catalogue": case.catalogue.model_copy(update={"options": tuple(options)})}
    )


def advised(case: Case) -> tuple[Advice, float]:
    """The answer, and the processor seconds of all threads until it is there."""
    MEMORY.forget()
    begun = time.process_time()
    return advice(AdviceRequest(case, prove=True)), time.process_time() - begun


def test_three_named_call_outs_over_twenty_options_at_most_triple_the_time() -> None:
    case = read_case(demo_folder("mill-turn"))
    (_, without), (answer, tied) = advised(with_visits(case, 0)), advised(with_visits(case, TIED))
    gap = answer.proof
    assert gap is not None
    sys.stdout.write(
        f"\nthree call-outs over {TIED} options: {without:.1f} -> {tied:.1f} processor seconds, "
        f"{tied / without:.2f} times; paid in turns: {', '.join(answer.visits_apart) or 'none'}; "
        f"gap {gap.gap:,.0f} +- {gap.gap_se:,.0f}\n"
    )
    assert tied <= MOST * without
