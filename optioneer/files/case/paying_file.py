"""``paying.toml``: the account, taxes and the plans on offer."""

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from optioneer.errors import did_you_mean
from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document
from optioneer.forms.schema import PAYING, tables
from optioneer.model.fact import Fact
from optioneer.model.paying import Account, Paying, Payoff, Plan, Regular, with_use_on_top
from optioneer.model.terms import Bridge, Dealer, Stage
from optioneer.model.when import When

KEYS = ("dealer", "account", "calendar", "sales_tax", "income_tax", "plan", "use")

_PLAN = tables(PAYING, many=True)["plan",]
_KINDS: Mapping[str, Any] = {model.model_fields["kind"].default: model for model in _PLAN.models}
_ONCE = {
    path[0]: one.models[0]
    for path, one in tables(PAYING, many=False).items()
    if path and not one.inner
}
"""Tables that are written once and hold no others."""

_WHOLE = (Stage(share=1.0, when=When(anchor="order")),)
_STAND_IN: Mapping[str, Any] = {"rate": 0.0, "months": 1, "monthly": 1.0, "stages": _WHOLE}
_SMALL: Mapping[str, tuple[type[Fact], Mapping[str, Any]]] = {
    "early_payoff": (Payoff, {"when": "order"}),
    "bridge": (Bridge, {"rate": 0.0}),
}
"""Tables on one line of a plan, and what stands for what they miss."""

_STAND_INS: Mapping[str, Mapping[str, Any]] = {
    "stages": {"share": 0.0, "when": "order"},
    "steps": {"after": 1, "times": 1.0},
}


def paying_part(toml: Document) -> CasePart:
    """The ways of paying, from values already read."""
    toml.values = with_use_on_top(dict(toml.values))
    facts: dict[str, Any] = {
        "dealer": _dealer(toml),
        "account": _account(toml),
        "plan": tuple(_plans(toml)),
    }
    for key, model in _ONCE.items():
        facts[key] = toml.only(key, model)
    known = {key: fact for key, fact in facts.items() if fact is not None}
    paying = Paying(**known)
    return CasePart({"paying": _with_use(toml, paying)}, tuple(toml.faults))


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


def _dealer(toml: Document) -> Dealer | None:
    """The dealer's terms; the stages are read one by one, so that faults name their place."""
    table = toml.table("dealer")
    if table is None:
        return None
    read = {**table}
    if "stages" in table:
        read["stages"] = tuple(_items(toml, table, "stages", Stage, "dealer"))
    return toml.fact(Dealer, read, "dealer")


def _items(
    toml: Document, table: Mapping[str, Any], key: str, model: type[BaseModel], place: str
) -> Iterator[Any]:
    """The facts listed at a key of a table."""
    for k, one in enumerate(toml.listed(table, key, place), 1):
        found = toml.fact(model, one, f"{place}, {key}, item {k}", **_STAND_INS[key])
        if found is not None:
            yield found


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
    for inner in _PLAN.inner:
        key, (item,) = inner.path[-1], inner.models
        if key in table and key in model.model_fields:
            read[key] = tuple(_items(toml, table, key, item, place))
    for key, (small, stand_in) in _SMALL.items():
        told = table.get(key)
        if isinstance(told, Mapping) and key in model.model_fields:
            read[key] = toml.fact(small, told, f"{place}, {key}", **stand_in)
    known = {key: value for key, value in _STAND_IN.items() if key in model.model_fields}
    return toml.fact(model, {**table, **read}, place, **known)
