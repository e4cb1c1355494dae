"""What the facts of a case must be to one another, beyond what each is by itself."""

from collections.abc import Callable, Collection, Iterator
from itertools import islice

from optioneer.errors import CaseError, Fault
from optioneer.model.case import Case
from optioneer.model.checks import candidates, menu, money, payments, provenance, scenario, siting

Check = Callable[[Case], Iterator[Fault]]

CHECKS: tuple[tuple[Check, frozenset[str]], ...] = (
    (money.currency_faults, frozenset({"machine"})),
    (money.price_faults, frozenset({"machine", "catalogue", "bundles"})),
    (money.date_faults, frozenset({"dates"})),
    (money.call_out_faults, frozenset({"call_outs"})),
    (menu.duplicate_faults, frozenset({"catalogue"})),
    (menu.reference_faults, frozenset({"catalogue"})),
    (menu.visit_faults, frozenset({"catalogue", "call_outs"})),
    (menu.slot_faults, frozenset({"catalogue"})),
    (menu.multiplier_faults, frozenset({"catalogue"})),
    (menu.circle_faults, frozenset({"catalogue"})),
    (candidates.standard_faults, frozenset({"catalogue"})),
    (candidates.option_faults, frozenset({"catalogue"})),
    (candidates.bundle_faults, frozenset({"bundles", "catalogue"})),
    (candidates.package_faults, frozenset({"packages", "catalogue"})),
    (scenario.horizon_faults, frozenset({"growth"})),
    (scenario.driver_faults, frozenset({"growth"})),
    (scenario.stream_faults, frozenset({"growth"})),
    (scenario.way_faults, frozenset({"growth", "catalogue"})),
    (payments.paying_faults, frozenset({"paying", "dates"})),
    (payments.lent_faults, frozenset({"paying", "machine", "catalogue", "bundles"})),
    (siting.site_duplicate_faults, frozenset({"site"})),
    (siting.site_repeat_faults, frozenset({"site"})),
    (siting.site_reference_faults, frozenset({"site"})),
    (siting.floor_faults, frozenset({"site"})),
    (siting.crew_faults, frozenset({"site"})),
    (siting.figure_faults, frozenset({"site"})),
    (siting.duration_faults, frozenset({"site"})),
)
"""Each check, and the fields of a case without which it cannot be made."""

MOST_FAULTS = 200
"""More faults of one check than this are not told."""


def faults(case: Case) -> tuple[Fault, ...]:
    """Everything in a case that does not fit together, in the words of its files."""
    return faults_among(case, Case.model_fields)


def faults_among(case: Case, known: Collection[str]) -> tuple[Fault, ...]:
    """The faults that can be told when only some fields of a case are known.

    Parameters
    ----------
    case
        The case; what is not known holds placeholders.
    known
        Names of the fields that are.
    """
    made = [check for check, needs in CHECKS if needs <= set(known)]
    return tuple(fault for check in made for fault in islice(check(case), MOST_FAULTS))


def checked(case: Case) -> Case:
    """The case itself, once nothing is wrong with it; for cases built without files.

    Raises
    ------
    CaseError
        Anything does not fit together; all faults.
    """
    found = faults(case)
    if found:
        raise CaseError(found)
    return case


def notes(case: Case) -> tuple[Fault, ...]:
    """What is no fault but may surprise: figures that do nothing, work that nothing serves."""
    tellers = (provenance.notes, menu.notes, candidates.notes, scenario.notes, money.notes)
    return tuple(note for teller in tellers for note in islice(teller(case), MOST_FAULTS))
