"""``paying.toml``: the account, taxes and the plans on offer."""

from collections.abc import Iterator, Mapping
from typing import Any

from optioneer.errors import did_you_mean
from optioneer.files.case.part import Part
from optioneer.files.plain.document import Document, document
from optioneer.files.plain.source import Source
from optioneer.files.plain.toml_values import Shape, plain, shape
from optioneer.model.fact import Fact
from optioneer.model.paying import (
    Account,
    IncomeTax,
    LeasePlan,
    LoanPlan,
    PayDays,
    Paying,
    Payoff,
    Plan,
    Regular,
    SalesTax,
    Stage,
    StagedPlan,
    Step,
    lifted,
)
from optioneer.model.when import When

KEYS = ("account", "calendar", "sales_tax", "income_tax", "plan", "use")

_KINDS: Mapping[str, type[Plan]] = {"staged": StagedPlan, "loan": LoanPlan, "lease": LeasePlan}
_TABLES: Mapping[str, type[Fact]] = {
    "calendar": PayDays,
    "sales_tax": SalesTax,
    "income_tax": IncomeTax,
}
_WHOLE = (Stage(share=1.0, when=When(anchor="order")),)
_STAND_IN: Mapping[str, Any] = {"rate": 0.0, "months": 1, "monthly": 1.0, "stages": _WHOLE}
_LISTS: Mapping[str, tuple[type[Fact], Mapping[str, Any]]] = {
    "stages": (Stage, {"share": 0.0, "when": "order"}),
    "steps": (Step, {"after": 1, "times": 1.0}),
}


SHAPE = Shape(
    absent={"account": plain(Account()), "calendar": plain(PayDays()), "plan": []},
    tables={
        "account": shape(Account, regular=shape(Regular)),
        "calendar": shape(PayDays),
        "sales_tax": shape(SalesTax),
        "income_tax": shape(IncomeTax),
        "plan": Shape(
            {
                key: value
                for model in _KINDS.values()
                for key, value in shape(model).absent.items()
                if key != "kind"  # it must be told
            }
        ),
    },
)
"""The shape of the file, for writing it."""


def read_paying(source: Source) -> Part:
    """The ways of paying.

    Parameters
    ----------
    source
        The text of ``paying.toml``.

    Raises
    ------
    CaseError
        The text is not TOML.
    """
    return paying_part(document(source, KEYS))


def paying_part(toml: Document) -> Part:
    """The ways of paying, from values already read."""
    toml.values = lifted(dict(toml.values))
    facts: dict[str, Any] = {"account": _account(toml), "plan": tuple(_plans(toml))}
    for key, model in _TABLES.items():
        table = toml.table(key)
        if table is not None:
            facts[key] = toml.fact(model, table, key)
    known = {key: fact for key, fact in facts.items() if fact is not None}
    paying = Paying(**known)
    return Part({"paying": _with_use(toml, paying)}, tuple(toml.faults))


def _with_use(toml: Document, paying: Paying) -> Paying:
    """The same with the plan that the advice counts on, if it is one of the file's."""
    use = toml.values.get("use")
    known = {table.get("id"): None for _, table in toml.tables("plan")}
    if use is None:
        return paying
    if use not in known:
        what = f"there is no plan {use!r}" if isinstance(use, str) else "is not the id of a plan"
        toml.fault("use", what, did_you_mean(str(use), [str(one) for one in known]))
    if use not in {plan.id for plan in paying.plan}:
        return paying
    return paying.model_copy(update={"use": use})


def _account(toml: Document) -> Account | None:
    table = toml.table("account")
    if table is None:
        return None
    regular = tuple(_regulars(toml, table))
    rest = {key: value for key, value in table.items() if key != "regular"}
    account = toml.fact(Account, rest, "account")
    return account and account.model_copy(update={"regular": regular})


def _regulars(toml: Document, account: Mapping[str, Any]) -> Iterator[Regular]:
    listed = toml.listed(account, "regular", "account", "account.regular")
    for number, table in enumerate(listed, 1):
        place = f"account.regular {number}"
        regular = toml.fact(Regular, table, place, name="-", monthly=0.0, day=1)
        if regular is not None:
            yield regular


def _plans(toml: Document) -> Iterator[Plan]:
    for place, table in toml.tables("plan"):
        kind = table.get("kind")
        if not isinstance(kind, str) or kind not in _KINDS:
            what = "is missing" if kind is None else f"{kind!r} is no kind of plan"
            toml.fault(f"{place}, kind", what, did_you_mean(str(kind), _KINDS))
            continue
        plan = _plan(toml, _KINDS[kind], table, place)
        if plan is not None:
            yield plan


def _plan(toml: Document, model: type[Plan], table: Mapping[str, Any], place: str) -> Plan | None:
    """A plan; its stages and steps are read one by one, so that faults name their exact place."""
    read: dict[str, Any] = {}
    for key, (item, stand_in) in _LISTS.items():
        if key in table and key in model.model_fields:
            listed = enumerate(toml.listed(table, key, place), 1)
            found = (
                toml.fact(item, one, f"{place}, {key}, item {k}", **stand_in) for k, one in listed
            )
            read[key] = tuple(one for one in found if one is not None)
    payoff = table.get("early_payoff")
    if isinstance(payoff, Mapping) and "early_payoff" in model.model_fields:
        read["early_payoff"] = toml.fact(Payoff, payoff, f"{place}, early_payoff", when="order")
    stand_in = {key: value for key, value in _STAND_IN.items() if key in model.model_fields}
    return toml.fact(model, {**table, **read}, place, **stand_in)
