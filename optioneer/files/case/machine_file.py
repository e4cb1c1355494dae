"""``machine.toml``: the machine, its dates, call-outs, bundles and candidate packages."""

from datetime import date
from typing import Any

from pydantic import Field

from optioneer.errors import Fault
from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document
from optioneer.files.plain.entry import M
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.sentences import id_like
from optioneer.model.fact import Amount, Fact, Key
from optioneer.model.machine import Bundle, Dates, Hours, Machine, Package

KEYS = ("machine", "hours", "dates", "call_out", "bundle", "package")


class CallOut(Fact):
    """One line of ``[call_out]``: a field-service visit and its fixed charge."""

    name: Key = Field(description="Name of the visit.")
    charge: Amount = Field(description="Fixed charge of one visit [money].")


_MACHINE = {"name": "-", "kind": "-", "base_price": 0.0, "currency": "USD", "margin_per_day": 0.0}


def machine_part(toml: Document) -> CasePart:
    """The machine and what is said of its order, from values already read."""
    facts = {
        "machine": _table(toml, "machine", Machine, **_MACHINE),
        "hours": toml.only("hours", Hours, attended=0.0),
        "dates": _table(toml, "dates", Dates, order=date(2000, 1, 1)),
        "call_outs": _call_outs(toml),
        "bundles": tuple(toml.facts("bundle", Bundle, discount=0.0)),
        "packages": tuple(toml.facts("package", Package)),
    }
    known: dict[str, Any] = {n: fact for n, fact in facts.items() if fact is not None}
    if "hours" not in toml.values:
        known["hours"] = None  # not limited
    return CasePart(known, tuple(toml.faults))


def _table(toml: Document, key: str, model: type[M], **stand_in: Any) -> M | None:
    if key not in toml.values:
        toml.fault(f"[{key}]", "is missing", f"{toml.name} holds a table [{key}].")
    return toml.only(key, model, **stand_in)


def _call_outs(toml: Document) -> dict[str, float] | None:
    if "call_out" not in toml.values:
        return {"default": 0.0}
    table = toml.table("call_out")
    if table is None:
        return None
    lines = [_call_out(toml, name, charge) for name, charge in table.items()]
    return {line.name: line.charge for line in lines}


def _call_out(toml: Document, name: str, charge: object) -> CallOut:
    start = len(toml.faults)
    place = f"call_out, {excerpt(name)}"
    line = toml.fact(CallOut, {"name": name, "charge": charge}, place, charge=0.0)
    toml.faults[start:] = [
        Fault(f"{toml.name}, {place}", fault.what, fault.allowed) for fault in toml.faults[start:]
    ]
    return line or CallOut(name=id_like(name), charge=0.0)
