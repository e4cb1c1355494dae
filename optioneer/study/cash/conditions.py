"""What is tried of a way of paying: other terms, and another balance to begin with."""

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.paying import AnyPlan
from optioneer.study.cash.plans import paying_of, plan_of


@dataclass(frozen=True)
class Conditions:
    """Other conditions than those of the case; what is none stays as it is.

    Parameters
    ----------
    opening
        In the account on the morning of the order [money].
    deposit
        Share of the price paid from the account.
    months
        How long the loan or lease lasts.
    rate
        Of the loan, as a fraction a year.
    """

    opening: float | None = None
    deposit: float | None = None
    months: int | None = None
    rate: float | None = None

    @property
    def of_the_plan(self) -> dict[str, float | int]:
        """Terms of the way of paying that are other ones."""
        terms = {"deposit": self.deposit, "months": self.months, "rate": self.rate}
        return {name: value for name, value in terms.items() if value is not None}


def case_under(case: Case, plan: str, tried: Conditions) -> Case:
    """The case with other terms of one way of paying, and another balance to begin with.

    Raises
    ------
    RequestError
        There is no such plan, it has no such terms, or they do not go together.
    """
    paying = paying_of(case)
    wanted = plan_of(case, plan)
    other = _under(wanted, tried.of_the_plan)
    account = paying.account
    if tried.opening is not None:
        account = account.model_copy(update={"opening": tried.opening})
    plans = tuple(other if one is wanted else one for one in paying.plan)
    changed = paying.model_copy(update={"account": account, "plan": plans})
    return case.model_copy(update={"paying": changed})


def _under(plan: AnyPlan, terms: dict[str, float | int]) -> AnyPlan:
    """A plan under other terms, checked anew."""
    unknown = sorted(terms.keys() - type(plan).model_fields.keys())
    if unknown:
        msg = f"'{plan.id}' is {plan.kind} and has no {' and no '.join(unknown)}."
        raise RequestError(msg)
    if not terms:
        return plan
    facts: dict[str, Any] = {name: getattr(plan, name) for name in type(plan).model_fields}
    try:
        return type(plan).model_validate({**facts, **terms})
    except ValidationError as error:
        told = "; ".join(str(each["msg"]).removeprefix("Value error, ") for each in error.errors())
        raise RequestError(f"'{plan.id}' cannot be had so. {told}.") from error
